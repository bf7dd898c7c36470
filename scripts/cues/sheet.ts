/**
 * The default cue lists of all kinds of rig at one place, as text to be read by a person: kinds
 * with one list stand together, and a list that is nearly another says only in what it differs.
 */
import type { Circumstances } from "../../shared/eclipse/circumstances-types.ts";
import { cueDueMs, cueOccurrencesMs } from "../../shared/plan/cue-times.ts";
import { defaultCues } from "../../shared/plan/defaults/default-cues.ts";
import { same } from "../../shared/plan/edits/same.ts";
import { type LocalEclipse, localEclipse } from "../../shared/plan/local-eclipse.ts";
import type { Cue } from "../../shared/plan/model/cue.ts";
import { RIG_KINDS, type RigKind } from "../../shared/plan/model/vocabulary.ts";
import type { RigOptics } from "../../shared/plan/safety/allowance.ts";
import type { AskedPlace } from "./places.ts";

interface NamedRig {
  name: string;
  rig: RigOptics;
}
/** A list as it was printed somewhere, to compare others with. */
export interface Printed {
  /** Where: the place's number and a letter, "1a". */
  label: string;
  names: string[];
  cues: Cue[];
}

type Words = Readonly<Record<string, string>>;

const PLAIN = { lookedThrough: false, publicQueue: false, unattended: false, focalLengthMm: 400 };
const rigOf = (kind: RigKind): RigOptics => ({
  ...PLAIN,
  kind,
  filter: kind === "wide-camera" || kind === "projection" ? "none by design" : "front",
});

function rigs(words: Words): NamedRig[] {
  const kinds = RIG_KINDS.map((kind) => ({ name: words[`rigKind.${kind}`] ?? kind, rig: rigOf(kind) }));
  const camera = rigOf("tripod-camera");
  return [
    ...kinds,
    { name: "Wide camera with a filter", rig: { ...rigOf("wide-camera"), filter: "front" } },
    { name: "Video without a filter", rig: { ...rigOf("video-camera"), filter: "none by design" } },
    { name: "Camera somebody looks through", rig: { ...camera, lookedThrough: true } },
    { name: "Telescope with a public queue", rig: { ...rigOf("visual-telescope"), publicQueue: true } },
    { name: "Telescope left alone", rig: { ...rigOf("tracked-telescope"), unattended: true } },
  ];
}

/**
 * One place. A list that stands as it is at an earlier place is only named; `printed` is what was
 * printed before, and takes what is printed now.
 */
export function sheetOf(
  place: AskedPlace,
  circumstances: Circumstances,
  words: Words,
  number: number,
  printed: Printed[],
): string {
  const gets = localEclipse(circumstances);
  const head = heading(place, circumstances, gets, number);
  if (gets.kind === "none") return `${head}\n\nNothing of it is seen here: no cues.`;
  const groups: Printed[] = [];
  for (const { name, rig } of rigs(words)) {
    const cues = defaultCues(rig, gets);
    const same = groups.find((group) => differences(cues, group.cues).length === 0);
    if (same) same.names.push(name);
    else groups.push({ label: "", names: [name], cues });
  }
  const sections: string[] = [];
  const unchanged: string[] = [];
  for (const group of groups) {
    const known = printed.find(({ cues }) => differences(group.cues, cues).length === 0);
    if (known) {
      unchanged.push(`${group.names.join(" · ")}: ${known.label}`);
      continue;
    }
    group.label = `${number}${String.fromCharCode(97 + sections.length)}`;
    sections.push(section(group, printed, gets, words));
    printed.push(group);
  }
  if (unchanged.length > 0) sections.push(`As before – ${unchanged.join(" – ")}.`);
  return [head, ...sections].join("\n\n");
}

function heading(
  place: AskedPlace,
  circumstances: Circumstances,
  gets: LocalEclipse,
  number: number,
): string {
  const { latDeg, lonDeg } = place;
  const lasts = gets.totalityS > 0 ? gets.totalityS : gets.ringS;
  const what = gets.kind + (lasts > 0 ? ` ${lasts.toFixed(1)} s` : "");
  const doubt = gets.kind === "none" ? "" : ` (±${circumstances.timingBoundS.toFixed(1)} s)`;
  const cut = gets.cut === null ? "" : `, ${circumstances.kind} but for the ${gets.cut}`;
  const times = (["c1", "c2", "max", "c3", "c4"] as const).flatMap((name) => {
    const ms = gets.contacts[name];
    return ms === null ? [] : `${name === "max" ? "max" : name.toUpperCase()} ${clock(ms)}`;
  });
  const { fromUtcMs = null, untilUtcMs = null } = gets.sunUp ?? {};
  if (fromUtcMs !== null) times.unshift(`sunrise ${clock(fromUtcMs)}`);
  if (untilUtcMs !== null) times.push(`sunset ${clock(untilUtcMs)}`);
  const where = `${Math.abs(latDeg)}° ${latDeg < 0 ? "S" : "N"} ${Math.abs(lonDeg)}° ${lonDeg < 0 ? "W" : "E"}`;
  const title = `# ${number}. ${place.title}: ${place.eclipse}, ${where}: ${what}${doubt}${cut}`;
  return times.length === 0 ? title : `${title}\nUTC: ${times.join(" · ")}`;
}

const clock = (ms: number): string => new Date(Math.round(ms / 1000) * 1000).toISOString().slice(11, 19);

/** A list in full, or in what it differs from the one printed before that it is most like. */
function section(group: Printed, printed: readonly Printed[], gets: LocalEclipse, words: Words): string {
  const title = `## ${group.label} ${group.names.join(" · ")}`;
  const lines = (cues: readonly Cue[]) => cues.map((cue) => line(cue, gets, words));
  const best = printed
    .map((base) => ({ base, apart: differences(group.cues, base.cues).length }))
    .sort((a, b) => a.apart - b.apart)[0];
  if (best === undefined || best.apart > group.cues.length / 2)
    return [title, ...lines(group.cues)].join("\n");
  const { base } = best;
  const more = group.cues.filter((cue) => !base.cues.some((other) => same(cue, other)));
  // What is there under the same id has changed rather than gone.
  const gone = base.cues.filter((cue) => !group.cues.some(({ id }) => id === cue.id));
  const without = gone.map((cue) => `${when(cue)} “${say(cue, words)}”`).join(", ");
  const as = `As ${base.label} (${base.names[0]})${without === "" ? "" : `, without ${without}`}`;
  return [title, more.length === 0 ? `${as}.` : `${as}; but:`, ...lines(more)].join("\n");
}

/** The cues that only one of two lists has. */
function differences(a: readonly Cue[], b: readonly Cue[]): Cue[] {
  const apart = (from: readonly Cue[], other: readonly Cue[]) =>
    from.filter((cue) => !other.some((one) => same(cue, one)));
  return [...apart(a, b), ...apart(b, a)];
}

/** One line a cue: contact and offset, UTC, action, words, window, count-in, hands, confirm, repeats. */
function line(cue: Cue, gets: LocalEclipse, words: Words): string {
  const extras = [
    `${seconds(cue.earliestS, "−0")}…${seconds(cue.latestS, "+0")}`.padEnd(12),
    cue.countInS > 0 ? `count ${cue.countInS}` : "",
    cue.handsS > 0 ? `hands ${cue.handsS}` : "",
    cue.confirm ? "confirm" : "",
    repeats(cue, gets),
  ];
  const columns = [
    when(cue).padEnd(9),
    clock(cueDueMs(cue, gets.contacts) ?? 0),
    cue.action.padEnd(12),
    say(cue, words).padEnd(52),
    ...extras.filter((text) => text !== ""),
  ];
  return columns.join("  ").trimEnd();
}

function repeats({ repeat, ...cue }: Cue, gets: LocalEclipse): string {
  if (repeat === null) return "";
  const times = cueOccurrencesMs({ ...cue, repeat }, gets.contacts).length;
  const { anchor, offsetS } = repeat.until;
  return `every ${repeat.everyS} until ${anchor}${offsetS === 0 ? "" : seconds(offsetS, "")} (${times}×)`;
}

const when = ({ anchor, offsetS }: Cue): string => `${anchor}${seconds(offsetS, "+0")}`;
const seconds = (s: number, zero: string): string => (s === 0 ? zero : s < 0 ? `−${-s}` : `+${s}`);
const say = (cue: Cue, words: Words): string => words[cue.key ?? ""] ?? cue.key ?? "";
