/**
 * Where a message broker is, as it was typed: checked with a sentence for the person, and written
 * without its credentials wherever it is shown. Redis's own form of address (IANA's list of URI
 * schemes: redis, rediss): redis://[[user][:password]@]host[:port][/database].
 */

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

/** Throws AddressError; `option` names what is wrong. */
export function brokerAddress(option: string, typed: string): BrokerAddress {
  const url = readUrl(option, typed, "redis://host:6379");
  if (url.protocol !== "redis:" && url.protocol !== "rediss:")
    throw new AddressError(`${option}: the broker's address must begin with redis:// or rediss://.`);
  if (url.search || url.hash)
    throw new AddressError(`${option}: the address of a broker ends with the number of its database.`);
  if (!/^\/?\d{0,4}$/.test(url.pathname))
    throw new AddressError(`${option}: after the host comes "/" and the number of a database, as in /0.`);
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
  throw new AddressError(`${option} is not an address such as ${example}.`);
}
