/** What the hub prints when it is up: where to go, the PIN, and a QR code for visitors. */

import { qrTerminal } from "./network/qr.ts";
import type { HubOptions } from "./options.ts";
import type { RunningHub } from "./run-hub.ts";

interface HowToAnnounce {
  colour: boolean;
  /** The site has just come from a site file. */
  restored: boolean;
}

export function announce(running: RunningHub, options: HubOptions, how: HowToAnnounce): string {
  const { urls, pin, port, sleep, tlsProblem } = running;
  const { secureOrigins, tier, authorityFingerprint } = running.network();
  const best = urls[0] ?? `http://localhost:${port}`;
  const board = `${best}/board#key=${running.hub.parts.boardKey}`;
  const publish = running.hub.parts.publisher?.state();
  const lines = [
    "",
    options.demo ? "Noonfall is up with the DEMO site: invented people and rigs." : "Noonfall is up.",
    "",
    `  Lead, on this laptop   http://localhost:${port}/lead`,
    `  Lead, elsewhere        ${best}/lead`,
    `  Board for visitors     ${board}`,
    ...urls.slice(1, 5).map((url) => `  Also reached at        ${url}`),
    ...secureOrigins.slice(0, 3).map((url) => `  By https               ${url}`),
    ...(tier === "local authority"
      ? [
          `  Phones trust it after  ${best}/trust   (screens stay on, pages reload without the hub)`,
          ...fingerprintLines(authorityFingerprint ?? ""),
        ]
      : []),
    ...(publish ? [`  Published to           ${publish.address}   (Lead → Run says how it goes)`] : []),
    ...(tlsProblem === undefined ? [] : [`  No https: ${tlsProblem}`]),
    "",
    pin !== undefined
      ? `  Lead's PIN             ${pin}   (kept hashed: write it down; --lead-pin sets a new one)`
      : `  Lead's PIN             ${how.restored ? "that of the restored site" : "as set before"} (--lead-pin DIGITS sets a new one)`,
    "",
    "  Rigs join by their own QR codes: Lead → Rigs → Link.",
    "  The board, as a QR code:",
    "",
    qrTerminal(board, { colour: how.colour }),
  ];
  if (sleep !== undefined) {
    lines.push(`  This laptop cannot be kept awake from here (${sleep}): switch sleep off by hand.`, "");
  }
  lines.push(
    "  Filters stay on except in totality at a site inside the path. Times are predictions,",
    "  off by seconds; the last word is the eye. Local rules and trained people on the spot prevail.",
    "",
    "  Ctrl-C ends the hub.",
    "",
  );
  return lines.join("\n");
}

/** SHA-256 in two lines of 16 bytes, to be compared with what a phone shows. */
function fingerprintLines(sha256: string): string[] {
  return [`  Its fingerprint        ${sha256.slice(0, 48)}`, `                         ${sha256.slice(48)}`];
}
