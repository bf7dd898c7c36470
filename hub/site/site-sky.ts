/**
 * What the plan's site gets of its eclipse, computed in steps before a save is decided: decisions
 * are made at once, and the limb alone takes tens of milliseconds of a laptop. What was computed is
 * kept, so that the decision finds it ready; one that comes without is computed where it is asked.
 */
import type { Circumstances } from "../../shared/eclipse/circumstances-types.ts";
import type { Site } from "../../shared/plan/model/plan.ts";
import { type SkyInputs, sameSky } from "../../shared/plan/model/same-place.ts";
import type { ComputeQueue } from "../compute-queue.ts";
import type { Solver } from "../solver.ts";

/** Skies kept: two leads may try some places at a time. */
const KEPT = 8;
/** In the queue's book: the plan waits behind nobody's pictures for long. */
const WHO = "the plan";

export class SiteSky {
  private kept: { for: SkyInputs; found: Circumstances | undefined }[] = [];

  constructor(
    private readonly solver: Pick<Solver, "forSite" | "forSiteSteps">,
    private readonly queue: ComputeQueue,
  ) {}

  /** Undefined when the eclipse is not in the table. */
  solve(eclipse: string, site: Site, limb: boolean): Circumstances | undefined {
    const inputs = { eclipse, site, limb };
    const known = this.kept.find((one) => sameSky(one.for, inputs));
    if (known) return known.found;
    return this.keep(inputs, this.solver.forSite(eclipse, site, limb));
  }

  /** Resolves when `solve` has it at hand. Where too much waits already it is left to `solve`. */
  async prepare(eclipse: string, site: Site, limb: boolean): Promise<void> {
    const inputs = { eclipse, site, limb };
    if (this.kept.some((one) => sameSky(one.for, inputs))) return;
    const { latDeg, lonDeg, heightM, placeBoundM, skyline } = site;
    const key = JSON.stringify(["site", eclipse, latDeg, lonDeg, heightM, placeBoundM, skyline, limb]);
    const done = await this.queue.work(WHO, key, () => this.solver.forSiteSteps(eclipse, site, limb));
    if (done) this.keep(inputs, done.result);
  }

  private keep(inputs: SkyInputs, found: Circumstances | undefined): Circumstances | undefined {
    this.kept = [{ for: inputs, found }, ...this.kept].slice(0, KEPT);
    return found;
  }
}
