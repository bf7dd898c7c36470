/** The eclipse room as the hub uses it: the table of elements and the solver, by eclipse id. */
import { type CircumstancesOptions, circumstances } from "../shared/eclipse/circumstances.ts";
import type { Circumstances, Place } from "../shared/eclipse/circumstances-types.ts";
import { eclipseById } from "../shared/eclipse/table.ts";
import type { Site } from "../shared/plan/plan.ts";

export interface SolverOptions extends Omit<CircumstancesOptions, "limb"> {
  /** Whether the Moon's limb is to be looked at. */
  limb: boolean;
}

export class Solver {
  /** Undefined when the eclipse is not in the table. */
  circumstances(eclipse: string, place: Place, options: SolverOptions): Circumstances | undefined {
    const elements = eclipseById(eclipse);
    if (!elements) return undefined;
    const { limb: _limb, ...rest } = options;
    return circumstances(elements, place, rest);
  }

  /** The same for a site of a plan. */
  forSite(eclipse: string, site: Site, limb: boolean): Circumstances | undefined {
    return this.circumstances(eclipse, site, { limb, placeBoundM: site.placeBoundM });
  }
}
