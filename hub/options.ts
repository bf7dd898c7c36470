/** What can be said on the command line. Every mistake is one sentence naming the option. */
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { parseArgs } from "node:util";

export interface HubOptions {
  port: number;
  /** Undefined: all addresses. */
  host: string | undefined;
  dataDir: string;
  leadPin: string | undefined;
  demo: boolean;
  tls: { cert: string; key: string } | undefined;
}

export const DEFAULT_PORT = 8620;

/** A mistake of the person who started the hub: told without a stack, exit code 2. */
export class UsageError extends Error {
  override name = "UsageError";
}

export const USAGE = `Usage: npm start -- [options]
  --port N             port to listen on (default ${DEFAULT_PORT})
  --host ADDR          address to listen on (default: all)
  --data DIR           folder for the site's data (default: data)
  --lead-pin DIGITS    sets the lead's PIN, 4 to 12 digits; a new one signs every lead out
  --demo               an invented site with simulated operators, beside the real one
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
        demo: { type: "boolean" },
        cert: { type: "string" },
        key: { type: "string" },
        help: { type: "boolean" },
      },
      allowPositionals: false,
    }));
  } catch (error) {
    throw new UsageError(`${(error as Error).message.split(". ")[0]}.\n${USAGE}`);
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
  if (pin !== undefined && !/^\d{4,12}$/.test(pin)) {
    throw new UsageError("--lead-pin must be 4 to 12 digits.");
  }
  return {
    port: Number(port),
    host: text("host"),
    dataDir: resolve(text("data") ?? "data"),
    leadPin: pin,
    demo: values.demo === true,
    tls: readTls(text("cert"), text("key")),
  };
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
