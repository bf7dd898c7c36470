/**
 * Marshals: helpers among the public. What they report is of the crowd and no fact of a rig, so it is no
 * event: phones of rigs fold events, and a child's or a patient's matter is nobody's there.
 */
import * as v from "valibot";
import { id } from "../fields/id.ts";
import { name, text } from "../fields/text.ts";

/** What there is to report in one tap. */
export const MARSHAL_MATTERS = ["medical", "child", "optics", "glasses"] as const;
export type MarshalMatter = (typeof MARSHAL_MATTERS)[number];
export const MOST_PLACE = 40;
export const MOST_WORDS = 200;

/** As a marshal's page sends it; the same id again is the same report. `atUtcMs`: when it was tapped, where that is not now. */
export const MarshalReportSchema = v.strictObject({
  id,
  matter: v.picklist(MARSHAL_MATTERS, `must be one of ${MARSHAL_MATTERS.join(", ")}`),
  place: v.optional(text(MOST_PLACE), ""),
  atUtcMs: v.optional(v.pipe(v.number("must be a number"), v.finite("must be a number"))),
});
export const MarshalAnswerSchema = v.strictObject({
  answer: v.picklist(["on it", "done"], "must be on it or done"),
});
export const MarshalWordsSchema = v.strictObject({ id, text: name(MOST_WORDS) });

export interface MarshalReport {
  id: string;
  matter: MarshalMatter;
  /** A word on where; may be empty. */
  place: string;
  /** When it was tapped; a phone that was away sends it later. */
  atUtcMs: number;
  /** A practice was on when it came. */
  practice?: boolean | undefined;
  answer: "on it" | "done" | null;
}

export interface MarshalWords {
  id: string;
  text: string;
  atUtcMs: number;
}

/** By the id that a marshal's page gives itself; said while it is looked at. */
export const MarshalPageSchema = v.object({ page: v.optional(id) });

/** What a lead is told beside it: on how many marshals' pages it has been shown, of those that are open. */
export interface ToldWords extends MarshalWords {
  seen: number;
  of: number;
}

/** As leads have the desk. */
export interface MarshalsDesk extends MarshalsNow {
  words: readonly ToldWords[];
}

/** What marshals and leads are told alike, newest first. */
export interface MarshalsNow {
  reports: readonly MarshalReport[];
  words: readonly MarshalWords[];
}
