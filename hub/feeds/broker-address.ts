/**
 * Where a message broker is, as it was typed: checked with a sentence for the person, and written
 * without its credentials wherever it is shown. Redis's own form of address (IANA's list of URI
 * schemes: redis, rediss): redis://[[user][:password]@]host[:port][/database].
 */

import { readFileSync } from "node:fs";

/** A mistake in an address; the message never holds what was typed before "@". */
export class AddressError extends Error {
  override name = "AddressError";
}

export interface BrokerAddress {
  /** With credentials: for the client alone. */
  url: string;
  /** For people. */
  shown: string;
  /** The certificate of an authority of one's own, PEM (authority-file.ts). */
  ca?: string;
}

const DEFAULT_PORT = 6379;
const MOST_PASSWORD = 512;
/** RFC 3986, 2.1. */
const HOW_WRITTEN = "in a name or password % is written %25, @ %40, / %2F, # %23, ? %3F, : %3A";

/** Throws AddressError; `option` names what is wrong. */
export function brokerAddress(option: string, typed: string): BrokerAddress {
  const url = readUrl(option, typed, "redis://host:6379");
  if (url.protocol !== "redis:" && url.protocol !== "rediss:")
    throw new AddressError(`${option}: the broker's address must begin with redis:// or rediss://.`);
  if (url.search || url.hash)
    throw new AddressError(`${option}: the address of a broker ends with the number of its database.`);
  if (!/^\/?\d{0,4}$/.test(url.pathname))
    throw new AddressError(`${option}: after the host comes "/" and the number of a database, as in /0.`);
  // As the client will read them; Node's own error would be no sentence.
  if (!decodes(url.username) || !decodes(url.password)) throw new AddressError(`${option}: ${HOW_WRITTEN}.`);
  const database = url.pathname.length > 1 ? url.pathname : "";
  return { url: typed, shown: `${url.protocol}//${url.hostname}:${url.port || DEFAULT_PORT}${database}` };
}

/** An http or https address to fetch from, without what follows its host; throws AddressError. */
export function webAddress(option: string, typed: string): BrokerAddress {
  const url = readUrl(option, typed, "https://board.example.org");
  if (url.protocol !== "http:" && url.protocol !== "https:")
    throw new AddressError(
      `${option}: the address must begin with redis://, rediss://, http:// or https://.`,
    );
  if (url.username || url.password)
    throw new AddressError(
      `${option}: a hub or relay needs no name and password; leave out what stands before "@".`,
    );
  if (!/^\/?(board\/?)?$/.test(url.pathname) || url.search)
    throw new AddressError(`${option}: give the address of the hub or relay alone, as in ${url.origin}.`);
  return { url: url.origin, shown: url.origin };
}

function readUrl(option: string, typed: string, example: string): URL {
  try {
    const url = new URL(typed);
    if (url.hostname !== "") return url;
  } catch {
    // Told below, without what was typed.
  }
  const hint = typed.includes("@") ? ` ${HOW_WRITTEN[0]?.toUpperCase()}${HOW_WRITTEN.slice(1)}.` : "";
  throw new AddressError(`${option} is not an address such as ${example}.${hint}`);
}

function decodes(text: string): boolean {
  try {
    decodeURIComponent(text);
    return true;
  } catch {
    return false;
  }
}

/** The address with the password that is in a file, so that it stands on no command line; throws AddressError. */
export function withPassword<Address extends BrokerAddress>(
  address: Address,
  option: string,
  file: string | undefined,
): Address {
  if (file === undefined) return address;
  const url = new URL(address.url);
  if (!/^rediss?:$/.test(url.protocol))
    throw new AddressError(`${option} is for addresses that begin with redis:// or rediss://.`);
  if (url.password !== "")
    throw new AddressError(`${option}: the address has a password already; leave out one of the two.`);
  let text: string;
  try {
    text = readFileSync(file, "utf8");
  } catch {
    throw new AddressError(`${option}: the file cannot be read.`);
  }
  const password = text.replace(/\r?\n$/, "");
  if (password === "" || password.length > MOST_PASSWORD || /[\r\n]/.test(password))
    throw new AddressError(`${option}: the file must hold the password alone, on one line.`);
  url.password = encodeURIComponent(password);
  return { ...address, url: url.href };
}
