/**
 * Parts of the run screen that come after the first draw. Until they are there filters stay on:
 * nothing unfilters without a word about the filter (S10) or of the eye (S5).
 */
import { late } from "../device/late.tsx";

export const ByEyePart = late(() => import("./by-eye.tsx").then((part) => part.ByEye));
export const FilterQuestion = late(() => import("./filter-question.tsx").then((part) => part.FilterQuestion));
