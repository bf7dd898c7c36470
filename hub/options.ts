/** What can be said on the command line. Every mistake is one sentence naming the option. */
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { parseArgs } from "node:util";
import { is } from "valibot";
import { PIN_DIGITS, pinText } from "../shared/fields/sign-in.ts";
import { withAuthority } from "./feeds/authority-file.ts";
import { AddressError, type BrokerAddress, brokerAddress, withPassword } from "./feeds/broker-address.ts";

export interface HubOptions {
  port: number;
  /** Undefined: all addresses. */
  host: string | undefined;
  dataDir: string;
  leadPin: string | undefined;
  demo: boolean;
  /** Where backups go; undefined: none are made. */
  backupDir?: string | undefined;
  /** The copy to go on with, by its name or as a file. */
  restore?: string | undefined;
  /** Begin anew though there was a site whose file has gone. */
  newSite?: boolean;
  tls: { cert: string; key: string } | undefined;
  /** The broker that what boards show is given to, for relays. */
  publish?: BrokerAddress | undefined;
}

export const DEFAULT_PORT = 8620;
const DIGITS = `${PIN_DIGITS.least} to ${PIN_DIGITS.most}`;

/** A mistake of the person who started the hub: told without a stack, exit code 2. */
export class UsageError extends Error {
  override name = "UsageError";
}

export const USAGE = `Usage: npm start -- [options]
  --port N             port to listen on (default ${DEFAULT_PORT})
  --host ADDR          address to listen on (default: all)
  --data DIR           folder for the site's data (default: data)
  --lead-pin DIGITS    sets the lead's PIN, ${DIGITS} digits; a new one signs every lead out
  --backup DIR         a second place, a stick perhaps: a backup every few minutes, the newest ten are kept
  --restore NAME       goes on with a copy: one that the hub keeps, a backup, or any site file by its path
  --new-site           begins anew where a site's file has gone
  --demo               an invented site with simulated operators, beside the real one
  --publish redis://…  gives what boards show to a broker, for relays (redis[s]://[user:password@]host[:port][/database])
  --publish-ca FILE    where the broker is rediss:// and its certificate is of an authority of your own: that
                       authority's certificate (PEM)
  --publish-password FILE   the file that holds the broker's password, which then stands on no command line
  --cert FILE --key FILE   a certificate of your own (PEM) for https
  --help               this text`;

export function readOptions(args: readonly string[]): HubOptions | "help" {
  let values: Record<string, string | boolean | undefined>;
  try {
    ({ values } = parseArgs({
      args: [...args],
      options: {
        port: { type: "string" },
        host: { type: "string" },
        data: { type: "string" },
        "lead-pin": { type: "string" },
        backup: { type: "string" },
        restore: { type: "string" },
        "new-site": { type: "boolean" },
        demo: { type: "boolean" },
        publish: { type: "string" },
        "publish-ca": { type: "string" },
        "publish-password": { type: "string" },
        cert: { type: "string" },
        key: { type: "string" },
        help: { type: "boolean" },
      },
      allowPositionals: false,
    }));
  } catch (error) {
    // An address that stands where none is looked for may hold a password.
    const what = (error as Error).message.split(". ")[0]?.replace(/\/\/[^\s'"]*@/g, "//…@");
    throw new UsageError(`${what}.\n${USAGE}`);
  }
  if (values.help) return "help";
  const text = (name: string): string | undefined => {
    const value = values[name];
    if (value === "") throw new UsageError(`--${name} needs a value.`);
    return typeof value === "string" ? value : undefined;
  };
  const port = text("port") ?? String(DEFAULT_PORT);
  if (!/^\d{1,5}$/.test(port) || Number(port) > 65_535) {
    throw new UsageError(`--port must be a number from 0 to 65535, not "${port}".`);
  }
  const pin = text("lead-pin");
  if (pin !== undefined && !is(pinText, pin)) {
    throw new UsageError(`--lead-pin must be ${DIGITS} digits.`);
  }
  const backup = text("backup");
  if (values["new-site"] === true && values.restore !== undefined) {
    throw new UsageError("--new-site and --restore contradict each other.");
  }
  return {
    port: Number(port),
    host: text("host"),
    dataDir: resolve(text("data") ?? "data"),
    leadPin: pin,
    demo: values.demo === true,
    backupDir: backup === undefined ? undefined : resolve(backup),
    restore: text("restore"),
    newSite: values["new-site"] === true,
    publish: readPublish(text("publish"), text("publish-ca"), text("publish-password")),
    tls: readTls(text("cert"), text("key")),
  };
}

function readPublish(
  typed: string | undefined,
  caFile: string | undefined,
  passwordFile: string | undefined,
): BrokerAddress | undefined {
  if (typed === undefined) {
    if (caFile !== undefined) throw new UsageError("--publish-ca needs --publish beside it.");
    if (passwordFile !== undefined) throw new UsageError("--publish-password needs --publish beside it.");
    return undefined;
  }
  try {
    const address = withPassword(brokerAddress("--publish", typed), "--publish-password", passwordFile);
    return withAuthority(address, "--publish-ca", caFile);
  } catch (error) {
    throw error instanceof AddressError ? new UsageError(error.message) : error;
  }
}

function readTls(cert: string | undefined, key: string | undefined): HubOptions["tls"] {
  if (cert === undefined && key === undefined) return undefined;
  if (cert === undefined) throw new UsageError("--key needs --cert beside it.");
  if (key === undefined) throw new UsageError("--cert needs --key beside it.");
  return { cert: readPem("--cert", cert), key: readPem("--key", key) };
}

function readPem(option: string, file: string): string {
  let text: string;
  try {
    text = readFileSync(file, "utf8");
  } catch (cause) {
    throw new UsageError(`${option}: cannot read ${file} (${(cause as NodeJS.ErrnoException).code}).`);
  }
  if (!text.includes("-----BEGIN ")) throw new UsageError(`${option}: ${file} is not a PEM file.`);
  return text;
}
