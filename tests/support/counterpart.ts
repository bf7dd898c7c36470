/**
 * Programs of Debian's that read or write the same files as ours. One that is missing is a failure that
 * names its package: scripts/setup/debian.mjs installs them where it may.
 */
import { execFileSync } from "node:child_process";
import { COUNTERPARTS, findProgram } from "../../scripts/setup/debian.mjs";

/** What a program prints. Throws with its own words when it fails. */
export function counterpart(name: keyof typeof COUNTERPARTS & string, args: readonly string[]): string {
  const file = findProgram(name);
  if (!file) throw new Error(`${name} is missing: install Debian's package ${COUNTERPARTS[name]}.`);
  return execFileSync(file, [...args], { encoding: "utf8", timeout: 60_000, maxBuffer: 64 * 1024 * 1024 });
}
