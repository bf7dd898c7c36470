/** A few frames of each phase and rig on paper: what the evening has to show. */
import { memo } from "react";
import { contactText } from "../../../../shared/images/take-away/labels.ts";
import { t } from "../../../words/words.ts";
import { rowKey, type TimedRow } from "./image-row.ts";
import { exposureWords, phaseWords } from "./image-words.ts";
import type { PictureRig } from "./images-picture.tsx";
import { Thumbnail } from "./thumbnail.tsx";
import type { ShownPictures } from "./use-pictures.ts";

/** Of each rig in each phase. */
const FRAMES = 4;

interface SheetGroup {
  heading: string;
  frames: { rigName: string; row: TimedRow }[];
}

/** Drawn anew only with other frames or pictures: the hand on the picture moves past thousands. */
export const ContactSheet = memo(function ContactSheet({
  rigs,
  pictures,
}: {
  rigs: readonly PictureRig[];
  pictures: ShownPictures;
}) {
  return (
    <section className="contact-sheet" data-part="contact-sheet">
      <h2>{t("images.sheet")}</h2>
      {sheetGroups(rigs).map(({ heading, frames }) => (
        <section key={heading}>
          <h3>{heading}</h3>
          <ul>
            {frames.map(({ rigName, row }) => (
              <li key={rowKey(row)}>
                <Thumbnail row={row} pictures={pictures} />
                <p>
                  <bdi>{rigName}</bdi>
                  {row.fromContact && (
                    <>
                      {" · "}
                      <bdi>{contactText(row.fromContact)}</bdi>
                    </>
                  )}
                </p>
                <p className="soft">
                  <bdi>{exposureWords(row)}</bdi>
                </p>
              </li>
            ))}
          </ul>
        </section>
      ))}
    </section>
  );
});

/** In the order of the eclipse; partial before and after apart. */
export function sheetGroups(rigs: readonly PictureRig[]): SheetGroup[] {
  const groups = new Map<string, { atMs: number; heading: string; byRig: Map<string, TimedRow[]> }>();
  for (const { rig, rows } of rigs) {
    for (const row of rows) {
      if (row.kind !== "image" || row.phase === null) continue;
      const late = row.fromContact?.contact === "C3" || row.fromContact?.contact === "C4";
      const key = row.phase === "partial" || row.phase === "beads" ? `${row.phase} ${late}` : row.phase;
      const heading = phaseWords({ phase: row.phase, covered: null, intoS: null });
      const group = groups.get(key) ?? {
        atMs: row.atMs,
        heading: headingOf(row, heading, late),
        byRig: new Map(),
      };
      groups.set(key, group);
      group.atMs = Math.min(group.atMs, row.atMs);
      const mine = group.byRig.get(rig.name);
      if (mine) mine.push(row);
      else group.byRig.set(rig.name, [row]);
    }
  }
  return [...groups.values()]
    .sort((a, b) => a.atMs - b.atMs)
    .map(({ heading, byRig }) => ({
      heading,
      frames: [...byRig].flatMap(([rigName, rows]) => spread(rows).map((row) => ({ rigName, row }))),
    }));
}

function headingOf({ phase }: TimedRow, plain: string, late: boolean): string {
  if (phase === "totality") return t("images.phase.totality");
  if (phase === "ring") return t("images.phase.ring");
  if (phase !== "partial" && phase !== "beads") return plain;
  return t(late ? "images.sheet.after" : "images.sheet.before", { phase: plain });
}

/** Evenly spread, first and last among them. */
function spread(rows: readonly TimedRow[]): TimedRow[] {
  if (rows.length <= FRAMES) return [...rows];
  return Array.from(
    { length: FRAMES },
    (_, i) => rows[Math.round((i * (rows.length - 1)) / (FRAMES - 1))] as TimedRow,
  );
}
