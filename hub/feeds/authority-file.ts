/** The certificate of an authority of one's own, from a file (PEM): whoever it vouches for is trusted, too. */
import { X509Certificate } from "node:crypto";
import { readFileSync } from "node:fs";
import { AddressError, type BrokerAddress } from "./broker-address.ts";

/** The address with what is in the file; throws AddressError naming the option. */
export function withAuthority<Address extends BrokerAddress>(
  address: Address,
  option: string,
  file: string | undefined,
): Address {
  if (file === undefined) return address;
  if (!/^(rediss|https):/i.test(address.url))
    throw new AddressError(`${option} is for addresses that begin with rediss:// or https://.`);
  let text: string;
  try {
    text = readFileSync(file, "utf8");
  } catch {
    throw new AddressError(`${option}: the file cannot be read.`);
  }
  let found: X509Certificate;
  try {
    found = new X509Certificate(text);
  } catch {
    throw new AddressError(`${option}: the file holds no certificate (PEM, "BEGIN CERTIFICATE").`);
  }
  if (!found.ca)
    throw new AddressError(`${option}: the certificate in the file is not that of an authority.`);
  return { ...address, ca: text };
}
