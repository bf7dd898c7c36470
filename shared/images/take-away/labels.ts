/**
 * A placed frame in a few words, as it leaves for other programs: sidecars, tables, suggested names.
 * English, since other programs and other people's computers read them; pages have words of their own.
 */
import { isoUtc } from "../../time/iso.ts";
import type { PhaseAt } from "../place/phase.ts";
import type { PlacedFrame } from "../place/place-frame.ts";

/** "totality at 12.3 s", "partial, 43 % covered", "C2 to within the bound". */
export function phaseText({ phase, covered, intoS }: PhaseAt): string {
  if (intoS !== null) return `${phase} at ${intoS.toFixed(1)} s`;
  if (phase === "partial" && covered !== null) return `partial, ${Math.round(covered * 100)} % covered`;
  return phase;
}

/** "C2+12.3 s", from a minute on "C1+26:00" (min:s); "" without an eclipse. */
export function contactText(fromContact: PhaseAt["fromContact"]): string {
  if (!fromContact) return "";
  const { contact, s } = fromContact;
  const size = Math.abs(s).toFixed(1);
  const whole = Math.round(Math.abs(s));
  const far = Number(size) >= 60;
  const words = far ? `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}` : `${size} s`;
  return `${contact}${s < 0 && size !== "0.0" ? "−" : "+"}${words}`;
}

/** What a sidecar says in a sentence. */
export function summaryOf(placed: PlacedFrame, rigName: string): string {
  if (placed.utcMs === null || placed.phase === null) return rigName;
  const bound = placed.boundMs === null ? "" : ` within ${(placed.boundMs / 1000).toFixed(2)} s`;
  const where = contactText(placed.phase.fromContact);
  return [
    `${rigName}: ${phaseText(placed.phase)}${where && ` (${where})`}`,
    `${isoUtc(placed.utcMs)}${bound}`,
    ...(placed.filter === null ? [] : [`filter ${placed.filter}`]),
  ].join("; ");
}

/**
 * A name that sorts by time and says what it is: "20270802T100207.123Z_C2+012.3s_west_IMG_0042.JPG".
 * Only suggested: nothing is renamed. Letters that some disk does not take become "-".
 */
export function suggestedName({ frame, utcMs, phase, rigId }: PlacedFrame): string {
  const own = frame.file.split("/").at(-1) ?? frame.file;
  if (utcMs === null) return own;
  const time = isoUtc(utcMs).replaceAll("-", "").replaceAll(":", "");
  const from = phase?.fromContact;
  const size = Math.abs(from?.s ?? 0).toFixed(1);
  const near =
    from && Math.abs(from.s) < 1000
      ? `${from.contact}${from.s < 0 && size !== "0.0" ? "-" : "+"}${size.padStart(5, "0")}s`
      : (phase?.phase ?? "").replaceAll(" ", "-");
  return [time, near, rigId, own]
    .filter(Boolean)
    .join("_")
    .replace(/[\\/:*?"<>|]/g, "-");
}
