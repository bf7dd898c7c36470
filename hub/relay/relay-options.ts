/** What can be said on a relay's command line. Every mistake is one sentence naming the option. */
import { isIP } from "node:net";
import { parseArgs } from "node:util";
import { BOARD_KEY } from "../../shared/protocol/board-document.ts";
import { withAuthority } from "../feeds/authority-file.ts";
import {
  AddressError,
  type BrokerAddress,
  brokerAddress,
  webAddress,
  withPassword,
} from "../feeds/broker-address.ts";

export interface RelayOptions {
  from: BrokerAddress & { kind: "broker" | "web" };
  host: string;
  port: number;
  /** Network time servers to ask besides the machine's own clock. */
  ntp: readonly string[];
  /** The only site whose board is handed on, by its public key; null: the first that is heard. */
  key: string | null;
}

export const RELAY_USAGE = `Usage: npm run relay -- --from ADDRESS --listen ADDR:PORT [options]
  --from ADDRESS       where the board comes from: redis://[user:password@]host[:port][/database]
                       that the hub publishes to (npm start -- --publish …), or the http(s)://
                       address of the hub or of another relay
  --listen ADDR:PORT   where to answer, as 0.0.0.0:8630 or [::]:8630 (behind nginx: 127.0.0.1:8630)
  --from-ca FILE       where --from is rediss:// or https:// and its certificate is of an authority of your
                       own: that authority's certificate (PEM)
  --from-password FILE where --from is redis:// or rediss://: the file that holds its password, which then
                       stands on no command line
  --key KEY            the site's key, as it stands after "#key=" in the board's address, or that whole
                       address: nothing of another site is handed on. Without it: the first that is heard
  --ntp HOST           a network time server to ask besides this machine's own clock; may be repeated
  --help               this text`;

/** Throws AddressError. */
export function readRelayOptions(args: readonly string[]): RelayOptions | "help" {
  let values: {
    from?: string;
    "from-ca"?: string;
    "from-password"?: string;
    listen?: string;
    key?: string;
    ntp?: string[];
    help?: boolean;
  };
  try {
    ({ values } = parseArgs({
      args: [...args],
      options: {
        from: { type: "string" },
        "from-ca": { type: "string" },
        "from-password": { type: "string" },
        listen: { type: "string" },
        key: { type: "string" },
        ntp: { type: "string", multiple: true },
        help: { type: "boolean" },
      },
      allowPositionals: false,
    }));
  } catch (error) {
    // Never what was typed: it may hold a password.
    const named = /'(--?[a-z-]+)/.exec((error as Error).message)?.[1];
    const what =
      named === undefined ? "something there is no option for" : `${named} is not used as it can be`;
    throw new AddressError(`${what}.\n${RELAY_USAGE}`);
  }
  if (values.help) return "help";
  if (values.from === undefined) throw new AddressError(`--from is missing.\n${RELAY_USAGE}`);
  if (values.listen === undefined) throw new AddressError(`--listen is missing.\n${RELAY_USAGE}`);
  const ntp = values.ntp ?? [];
  for (const host of ntp)
    if (!/^[A-Za-z0-9.:-]{1,253}$/.test(host))
      throw new AddressError("--ntp must be a host name or an address.");
  const known = withPassword(readFrom(values.from), "--from-password", values["from-password"]);
  const from = withAuthority(known, "--from-ca", values["from-ca"]);
  return { from, ...readListen(values.listen), ntp, key: readKey(values.key) };
}

function readKey(typed: string | undefined): string | null {
  if (typed === undefined) return null;
  const key = typed.trim().replace(/^.*#key=/, "");
  if (!BOARD_KEY.test(key))
    throw new AddressError(
      '--key must be the 43 letters and digits after "#key=" in the board\'s address, or that address.',
    );
  return key;
}

function readFrom(typed: string): RelayOptions["from"] {
  const web = /^https?:/i.test(typed);
  if (web) return { ...webAddress("--from", typed), kind: "web" };
  if (!/^rediss?:/i.test(typed))
    throw new AddressError("--from must begin with redis://, rediss://, http:// or https://.");
  return { ...brokerAddress("--from", typed), kind: "broker" };
}

function readListen(typed: string): { host: string; port: number } {
  const match = /^(?:\[([^\]]+)\]|([^:[\]]+)):(\d{1,5})$/.exec(typed);
  const host = match?.[1] ?? match?.[2] ?? "";
  const port = Number(match?.[3]);
  if (!match || (isIP(host) === 0 && host !== "localhost"))
    throw new AddressError("--listen must be an address and a port, as 0.0.0.0:8630 or [::]:8630.");
  if (port > 65_535) throw new AddressError("--listen: a port is a number from 0 to 65535.");
  return { host, port };
}
