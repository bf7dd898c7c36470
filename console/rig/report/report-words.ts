/** A report in words, for the phone's own log. */
import type { Report } from "../../../shared/run/facts/report-schema.ts";
import { STATE_FIELDS } from "../../../shared/run/facts/reported-fields.ts";
import { factText } from "../../parts/words-for-fact.ts";
import { isWordKey, t } from "../../words/words.ts";

export function reportWords(report: Report): string {
  const words: string[] = [];
  const cue = (id: string): string => {
    const key = `cue.${id.replace(/\.\d+$/, "")}`;
    return isWordKey(key) ? t(key) : id;
  };
  if (report.filter) words.push(t(`rig.filter.is.${report.filter}`));
  if (report.cueDone) words.push(t("rig.said.done", { cue: cue(report.cueDone) }));
  if (report.cueSkipped) words.push(t("rig.said.skipped", { cue: cue(report.cueSkipped) }));
  if (report.cueReopened) words.push(t("rig.said.reopened", { cue: cue(report.cueReopened) }));
  for (const field of STATE_FIELDS) {
    const value = report[field];
    if (value !== undefined) words.push(`${t(`fact.${field}`)}: ${factText(field, value)}`);
  }
  if (report.help !== undefined) words.push(t(report.help ? "rig.help.called" : "rig.said.helpOver"));
  if (report.sawTotality !== undefined)
    words.push(t(report.sawTotality ? "rig.see.said" : "rig.said.seenBack"));
  if (report.practiceSafe !== undefined)
    words.push(t(report.practiceSafe ? "rig.said.safe" : "rig.said.safeBack"));
  for (const [id, value] of Object.entries(report.checks ?? {})) {
    const key = `check.${id}`;
    words.push(`${value ? "✓" : "–"} ${isWordKey(key) ? t(key) : id}`);
  }
  if (report.armed) words.push(t(report.armed.sound ? "rig.said.armed" : "rig.said.unarmed"));
  return words.join(" · ");
}
