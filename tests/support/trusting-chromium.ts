/**
 * A Chromium of its own profile that trusts one hub, as a phone does after its owner installed the
 * hub's authority: certificate errors are forgiven for that one public key alone, and the page is
 * in a secure context with all rights, service workers included. (Playwright's ignoreHTTPSErrors
 * is the other case: a certificate clicked through.)
 */
import { createHash, X509Certificate } from "node:crypto";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { type BrowserContext, chromium } from "playwright-core";
import { chromiumPath, FLAGS } from "./chromium.ts";

export interface Phone {
  context: BrowserContext;
  close(): Promise<void>;
}

export interface PhoneOptions {
  /** Root certificate (DER) that this phone trusts; none: it trusts no hub. */
  root?: Buffer;
  /** The owner presses "go on anyway" at a certificate that is not trusted. */
  clicksThrough?: boolean;
  /** Name → address, as a site's router would answer. */
  names?: Record<string, string>;
  locale?: string;
}

export async function openPhone({ root, clicksThrough, names, locale }: PhoneOptions = {}): Promise<Phone> {
  const profile = mkdtempSync(join(tmpdir(), "noonfall-phone-"));
  const rules = Object.entries(names ?? {}).map(([name, address]) => `MAP ${name} ${address}`);
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: chromiumPath(),
    headless: true,
    viewport: { width: 390, height: 844 },
    ignoreHTTPSErrors: clicksThrough ?? false,
    ...(locale && { locale }),
    args: [
      ...FLAGS,
      ...(root ? [`--ignore-certificate-errors-spki-list=${keyHash(root)}`] : []),
      ...(rules.length > 0 ? [`--host-resolver-rules=${rules.join(", ")}`] : []),
    ],
  });
  return {
    context,
    async close() {
      await context.close();
      rmSync(profile, { recursive: true, force: true });
    },
  };
}

/** SHA-256 of the SubjectPublicKeyInfo in base64 (as in RFC 7469, 2.4). */
export function keyHash(der: Buffer): string {
  const key = new X509Certificate(der).publicKey.export({ type: "spki", format: "der" });
  return createHash("sha256").update(key).digest("base64");
}
