/** What is wrong with the certificate of whoever we speak to, by Node's own codes, in words for a person. */

/** `option`: by which the file of an authority is given. Undefined where it is not the certificate. */
export function certificateWords(error: unknown, option: string): string | undefined {
  const { code = "", message = "" } = (error ?? {}) as { code?: string; message?: string };
  switch (code) {
    case "DEPTH_ZERO_SELF_SIGNED_CERT":
    case "SELF_SIGNED_CERT_IN_CHAIN":
    case "UNABLE_TO_VERIFY_LEAF_SIGNATURE":
    case "UNABLE_TO_GET_ISSUER_CERT":
    case "UNABLE_TO_GET_ISSUER_CERT_LOCALLY":
    case "CERT_SIGNATURE_FAILURE":
      return `has a certificate that this machine does not trust: give its authority's with ${option} FILE`;
    case "CERT_HAS_EXPIRED":
      return "has a certificate that has run out, or this machine's clock is wrong";
    case "CERT_NOT_YET_VALID":
      return "has a certificate that is not valid yet, or this machine's clock is wrong";
    case "ERR_TLS_CERT_ALTNAME_INVALID":
      return "has a certificate for another name: use the name that it was made for";
  }
  if (/SSL|TLS|wrong version|EPROTO/i.test(`${message} ${code}`))
    return "cannot be spoken to by TLS: is it the right port?";
  return undefined;
}
