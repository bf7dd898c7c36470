/** Whether a board's document was signed with a key (Ed25519, RFC 8032), by Node's own crypto. */
import { createPublicKey, verify } from "node:crypto";

/** `signature` and `key`: base64url, as they stand in the document. False, too, where the key can be none. */
export function signatureHolds(signed: string, signature: string, key: string): boolean {
  try {
    const publicKey = createPublicKey({ key: { kty: "OKP", crv: "Ed25519", x: key }, format: "jwk" });
    return verify(null, Buffer.from(signed), publicKey, Buffer.from(signature, "base64url"));
  } catch {
    return false;
  }
}
