/**
 * The certificate the hub serves with: the group's own (--cert --key), or one from the hub's
 * local authority, kept in the data folder and renewed when the machine's addresses change or
 * its time runs out. Key files can be read by their owner only.
 */
import { createPrivateKey, type KeyObject, X509Certificate } from "node:crypto";
import { chmodSync, mkdirSync, readFileSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { isIP } from "node:net";
import { join } from "node:path";
import { certifiableHosts } from "./certifiable-hosts.ts";
import type { KeyPair } from "./one-port.ts";

const DAY_MS = 86_400_000;
const RENEW_BEFORE_MS = 30 * DAY_MS;

export interface SiteCertificate {
  kind: "own" | "local";
  pair: KeyPair;
  /** Names and addresses it is good for. */
  hosts: string[];
  notAfterUtcMs: number;
  /** For phones to install and trust; only with kind "local". */
  authority?: { pem: string; der: Buffer; sha256: string };
}

export class CertificateError extends Error {
  override name = "CertificateError";
  constructor(
    /** The option or file at fault. */
    readonly field: "--cert" | "--key" | "data",
    message: string,
    options?: { cause?: unknown },
  ) {
    super(message, options);
  }
}

/** That the two belong together and are valid now. Throws CertificateError naming the option. */
export function checkOwnCertificate(pair: KeyPair, nowUtcMs: number): SiteCertificate {
  const parsed = parseCertificate(pair.cert);
  if (!parsed) throw new CertificateError("--cert", "--cert: the file holds no certificate in PEM form.");
  const privateKey = parseKey(pair.key);
  if (!privateKey) {
    throw new CertificateError(
      "--key",
      "--key: the file holds no private key in PEM form that opens without a passphrase.",
    );
  }
  if (!parsed.checkPrivateKey(privateKey)) {
    throw new CertificateError("--key", "--key: the key does not belong to the certificate of --cert.");
  }
  const notAfterUtcMs = Date.parse(parsed.validTo);
  if (notAfterUtcMs <= nowUtcMs) {
    throw new CertificateError("--cert", `--cert: the certificate expired on ${dayOf(parsed.validTo)}.`);
  }
  if (Date.parse(parsed.validFrom) > nowUtcMs) {
    throw new CertificateError(
      "--cert",
      `--cert: the certificate is not valid before ${dayOf(parsed.validFrom)}; is this machine's clock right?`,
    );
  }
  return { kind: "own", pair, hosts: hostsOf(parsed), notAfterUtcMs };
}

/**
 * The local certificate for these hosts, from the folder where it still fits, else made anew
 * (`renewed`). The authority is made once and kept, as phones trust that very one; a new one is
 * made only when it is missing, broken or near its end. Rejects with CertificateError.
 */
export async function ensureLocalCertificate(
  folder: string,
  options: { hosts: readonly string[]; label: string; nowUtcMs: number },
): Promise<{ certificate: SiteCertificate; renewed: boolean }> {
  try {
    mkdirSync(folder, { recursive: true, mode: 0o700 });
    const { nowUtcMs, hosts } = options;
    const kept = readPair(folder, "authority");
    const authority = kept && lasts(kept, nowUtcMs) ? kept : undefined;
    const leaf = authority && readPair(folder, "hub");
    if (authority && leaf && lasts(leaf, nowUtcMs) && isIssuedBy(leaf, authority)) {
      const covered = new Set(hostsOf(leaf.parsed));
      if (certifiableHosts(hosts).every((host) => covered.has(host))) {
        return { certificate: localCertificate(leaf, authority), renewed: false };
      }
    }
    // Making one needs a large library; most starts do not.
    const { makeAuthority, makeLeaf } = await import("./certificates.ts");
    const root = authority ?? writePair(folder, "authority", await makeAuthority(options.label, nowUtcMs));
    const made = writePair(folder, "hub", await makeLeaf(root, hosts, nowUtcMs));
    return { certificate: localCertificate(made, root), renewed: true };
  } catch (cause) {
    throw new CertificateError("data", `The certificate in ${folder} could not be made: ${String(cause)}`, {
      cause,
    });
  }
}

interface ParsedPair extends KeyPair {
  parsed: X509Certificate;
}

function localCertificate(leaf: ParsedPair, authority: ParsedPair): SiteCertificate {
  return {
    kind: "local",
    pair: { cert: `${leaf.cert.trim()}\n${authority.cert.trim()}\n`, key: leaf.key },
    hosts: hostsOf(leaf.parsed),
    notAfterUtcMs: Date.parse(leaf.parsed.validTo),
    authority: {
      pem: authority.cert,
      der: authority.parsed.raw,
      sha256: authority.parsed.fingerprint256,
    },
  };
}

function lasts(pair: ParsedPair, nowUtcMs: number): boolean {
  const { validFrom, validTo } = pair.parsed;
  return Date.parse(validFrom) <= nowUtcMs && Date.parse(validTo) > nowUtcMs + RENEW_BEFORE_MS;
}

function isIssuedBy(leaf: ParsedPair, authority: ParsedPair): boolean {
  return leaf.parsed.checkIssued(authority.parsed) && leaf.parsed.verify(authority.parsed.publicKey);
}

/** Undefined when a file is missing, broken, or the two do not belong together (a cut-off write). */
function readPair(folder: string, name: string): ParsedPair | undefined {
  try {
    const cert = readFileSync(join(folder, `${name}.crt`), "utf8");
    const key = readFileSync(join(folder, `${name}.key`), "utf8");
    return parsePair({ cert, key });
  } catch {
    return undefined;
  }
}

function writePair(folder: string, name: string, pair: KeyPair): ParsedPair {
  writeWhole(join(folder, `${name}.key`), pair.key, 0o600);
  writeWhole(join(folder, `${name}.crt`), pair.cert, 0o644);
  const parsed = parsePair(pair);
  if (!parsed) throw new Error(`the ${name} certificate that was made does not fit its key`);
  return parsed;
}

function writeWhole(file: string, text: string, mode: number): void {
  const partial = `${file}.partial`;
  rmSync(partial, { force: true });
  writeFileSync(partial, text, { mode, flag: "wx" });
  chmodSync(partial, mode);
  renameSync(partial, file);
}

function parsePair(pair: KeyPair): ParsedPair | undefined {
  const parsed = parseCertificate(pair.cert);
  const key = parseKey(pair.key);
  return parsed && key && parsed.checkPrivateKey(key) ? { ...pair, parsed } : undefined;
}

function parseCertificate(pem: string): X509Certificate | undefined {
  try {
    return new X509Certificate(pem);
  } catch {
    return undefined;
  }
}

function parseKey(pem: string): KeyObject | undefined {
  try {
    return createPrivateKey(pem);
  } catch {
    return undefined;
  }
}

/** Names and addresses of subjectAltName, as Node writes it: "DNS:hub.local, IP Address:10.0.0.2". */
function hostsOf(certificate: X509Certificate): string[] {
  const text = certificate.subjectAltName ?? "";
  return text
    .split(", ")
    .map((part) => part.replace(/^"?(DNS|IP Address):/, "").replace(/"$/, ""))
    .filter((host) => host !== "")
    .map((host) => (isIP(host) === 6 ? shortIpv6(host) : host.toLowerCase()));
}

/** Node writes all eight groups; operating systems shorten (RFC 5952). */
function shortIpv6(address: string): string {
  return new URL(`http://[${address}]`).hostname.slice(1, -1);
}

function dayOf(date: string): string {
  return new Date(date).toISOString().slice(0, 10);
}
