/** A plan before anybody has planned. */
import type { Plan } from "./plan.ts";

export const EMPTY_PLAN: Plan = {
  revision: 0,
  group: "",
  eclipse: null,
  site: null,
  limb: true,
  acknowledged: [],
  rigs: [],
};
