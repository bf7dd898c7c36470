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
import type { PaperRow } from "./paper-rows.ts";
import { Stamp } from "./stamp.tsx";

interface CueTableProps {
  rows: readonly PaperRow[];
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
const PAGE_PT = 420;
const SIZES = [
  { name: "large", linePt: 23, morePt: 14, letters: 46 },
  { name: "middle", linePt: 17, morePt: 12, letters: 54 },
  { name: "small", linePt: 13, morePt: 10, letters: 66 },
] as const;

/** `besidePt`: what stands on the page beside the lines. */
function sizeFor(texts: readonly string[], besidePt: number): (typeof SIZES)[number]["name"] {
  const takes = ({ linePt, morePt, letters }: (typeof SIZES)[number]) =>
    texts.reduce((sum, text) => sum + linePt + morePt * Math.floor(text.length / letters), besidePt);
  const fits = (extraPt: number) => SIZES.find((size) => takes(size) - extraPt <= PAGE_PT)?.name;
  // What stands beside may go overleaf; what needs two pages anyway is not set small for it.
  return fits(0) ?? fits(besidePt) ?? "middle";
}

export function CueTable({ rows, state, rigs, besidePt = 0 }: CueTableProps) {
  const zone = state.plan.site?.zone ?? "";
  const zoneName = rows[0] ? zoneText(rows[0].atMs, zone) : null;
  const texts = rows.map((row) => [...(rigs ? [row.rig.name] : []), ...textsOf(row, rigs)].join(" "));
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
        {rows.map((row) => (
          <CueLine key={`${row.rig.id}/${row.one.id}`} row={row} zone={zone} rigs={rigs} />
        ))}
      </tbody>
    </table>
  );
}

function CueLine({ row, zone, rigs }: { row: PaperRow; zone: string; rigs: boolean }) {
  const { one, rig, atMs, helping, undone } = row;
  const { cue } = one;
  const [words = "", ...notes] = textsOf(row, rigs);
  const moved = (atMs - one.dueMs) / 1000;
  return (
    <tr
      data-filter-cue={isFilterAction(cue.action)}
      data-paper-cue={`${rig.id}/${cue.id}`}
      data-undone={undone}
    >
      <td className="figures">{clockText(atMs)}</td>
      <td className="figures">{localClockText(atMs, zone) ?? "—"}</td>
      <td className="figures">{offsetWords(cue.anchor, cue.offsetS + moved)}</td>
      {rigs && <td className="cue-sheet__rig">{rig.name}</td>}
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

/** The words of a line, and after them what is said smaller: note, settings, series, helper, tool, length. */
function textsOf({ one: { cue }, ownWords, with: names }: PaperRow, hands: boolean): string[] {
  const put = { cue, ownWords, mode: "plain", exposed: false, lookedThrough: false } as const;
  const note = cueNote(put);
  const { camera, repeat, people, tool, handsS } = cue;
  const says = [
    note && t("cue.note", { text: note }),
    camera && cameraText(camera),
    repeat && t("lead.cues.repeat", { seconds: repeat.everyS, until: anchorWords(repeat.until.anchor) }),
    names.length > 0 ? t("helpers.with", { names: names.join(", ") }) : people === 2 && t("helpers.takesTwo"),
    tool !== undefined && t("helpers.needs", { tool }),
    hands && handsS > 0 && t("paper.hands", { length: lengthWords(handsS) }),
  ];
  return [putWords(put), ...says.filter((text): text is string => typeof text === "string" && text !== "")];
}
