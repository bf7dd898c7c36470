/**
 * Cues on paper, one a line: UTC and local time, when, what, what the camera is set to, and a box to
 * tick. The stamp stands in the table's head: on every page that a long list runs over.
 */

import { isFilterAction } from "../../../../shared/plan/model/vocabulary.ts";
import type { SiteState } from "../../../../shared/run/state.ts";
import { cameraText } from "../../../parts/camera-text.ts";
import { clockText, localClockText, zoneText } from "../../../parts/time-format.ts";
import { anchorWords, offsetWords } from "../../../parts/words-for-anchor.ts";
import { cueNote, putWords } from "../../../parts/words-for-cue.ts";
import { lengthWords } from "../../../parts/words-for-length.ts";
import { t } from "../../../words/words.ts";
import type { PaperLine } from "./paper-lines.ts";
import type { PaperRow } from "./paper-rows.ts";
import { Stamp } from "./stamp.tsx";

interface CueTableProps {
  lines: readonly PaperLine[];
  state: SiteState;
  /** Whether each line names its rig. */
  rigs: boolean;
  /** What else stands on the page, pt. */
  besidePt?: number;
}

/**
 * What a page has left for lines below its head, pt, and what a line takes in each size: the first, and
 * each that its words run on to. A list that is too long for large type is set smaller, so that it stays
 * on one page where it can.
 */
const SIZES = [
  { name: "large", linePt: 23, morePt: 14, letters: 46, pagePt: 420 },
  { name: "middle", linePt: 17, morePt: 12, letters: 54, pagePt: 420 },
  // The head is set closer, too (paper.css).
  { name: "small", linePt: 12, morePt: 10, letters: 60, pagePt: 535 },
] as const;

/** `besidePt`: what stands on the page beside the lines. */
function sizeFor(texts: readonly string[], besidePt: number): (typeof SIZES)[number]["name"] {
  const takes = ({ linePt, morePt, letters }: (typeof SIZES)[number]) =>
    texts.reduce((sum, text) => sum + linePt + morePt * Math.floor(text.length / letters), besidePt);
  const fits = (extraPt: number) => SIZES.find((size) => takes(size) - extraPt <= size.pagePt)?.name;
  // What stands beside may go overleaf; what needs two pages anyway is not set small for it.
  return fits(0) ?? fits(besidePt) ?? "middle";
}

export function CueTable({ lines, state, rigs, besidePt = 0 }: CueTableProps) {
  const zone = state.plan.site?.zone ?? "";
  const zoneName = lines[0] ? zoneText(lines[0].row.atMs, zone) : null;
  const texts = lines.map((line) => textsOf(line, rigs).join(" "));
  const size = sizeFor(texts, besidePt);
  return (
    <table className="cue-sheet__cues" data-size={size}>
      <thead>
        <tr>
          <td className="cue-sheet__stamp" colSpan={rigs ? 6 : 5}>
            <Stamp state={state} />
          </td>
        </tr>
        <tr>
          <th scope="col">{t("time.utc")}</th>
          <th scope="col">{zoneName ?? t("time.local")}</th>
          <th scope="col">{t("lead.sheet.when")}</th>
          {rigs && <th scope="col">{t("paper.rig")}</th>}
          <th scope="col">{t("lead.sheet.do")}</th>
          <th scope="col">{t("lead.sheet.done")}</th>
        </tr>
      </thead>
      <tbody>
        {lines.map((line) => (
          <CueLine key={`${line.row.rig.id}/${line.row.one.id}`} line={line} zone={zone} rigs={rigs} />
        ))}
      </tbody>
    </table>
  );
}

function CueLine({ line, zone, rigs }: { line: PaperLine; zone: string; rigs: boolean }) {
  const { one, atMs, helping, undone } = line.row;
  const { cue } = one;
  const [words = "", ...notes] = textsOf(line, rigs);
  const together = [line.row, ...line.also.filter((other) => other.atMs === atMs)];
  const moved = (atMs - one.dueMs) / 1000;
  return (
    <tr
      data-filter-cue={isFilterAction(cue.action)}
      data-paper-cue={[line.row, ...line.also].map((row) => `${row.rig.id}/${row.one.cue.id}`).join(" ")}
      data-undone={undone}
    >
      <td className="figures">{clockText(atMs)}</td>
      <td className="figures">{localClockText(atMs, zone) ?? "—"}</td>
      <td className="figures">{offsetWords(cue.anchor, cue.offsetS + moved)}</td>
      {rigs && (
        <td className="cue-sheet__rig">
          {together.map((row, n) => (
            <span key={row.rig.id}>{n < together.length - 1 ? `${row.rig.name}, ` : row.rig.name}</span>
          ))}
        </td>
      )}
      <td className="cue-sheet__words">
        {helping && <em>{t("paper.help")} </em>}
        {words}
        {notes.length > 0 && <small> {notes.join(" · ")}</small>}
        {undone && (
          <>
            {" "}
            <em>{t("paper.undone")}</em>
          </>
        )}
      </td>
      <td className="cue-sheet__box" aria-hidden="true">
        ☐
      </td>
    </tr>
  );
}

/**
 * The words of a line, and after them what is said smaller: the same at other rigs later, note, settings,
 * series, helper, tool, length.
 */
function textsOf({ row, also }: PaperLine, hands: boolean): string[] {
  const { one, ownWords, with: names } = row;
  const { cue } = one;
  const put = { cue, ownWords, mode: "plain", exposed: false, lookedThrough: false } as const;
  const note = cueNote(put);
  const { camera, repeat, people, tool, handsS } = cue;
  const says = [
    ...also.filter(({ atMs }) => atMs !== row.atMs).map((other) => thenWords(other, row.atMs)),
    note && t("cue.note", { text: note }),
    camera && cameraText(camera),
    repeat && t("lead.cues.repeat", { seconds: repeat.everyS, until: anchorWords(repeat.until.anchor) }),
    names.length > 0 ? t("helpers.with", { names: names.join(", ") }) : people === 2 && t("helpers.takesTwo"),
    tool !== undefined && t("helpers.needs", { tool }),
    hands && handsS > 0 && also.length === 0 && t("paper.hands", { length: lengthWords(handsS) }),
  ];
  return [putWords(put), ...says.filter((text): text is string => typeof text === "string" && text !== "")];
}

/** "then West telescope, 10 min 5 s later" */
function thenWords({ rig, atMs }: PaperRow, afterMs: number): string {
  return t("paper.then", { rig: rig.name, length: lengthWords((atMs - afterMs) / 1000) });
}
