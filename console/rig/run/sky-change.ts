/**
 * What the lead's word on the sky changes for this phone's rigs: what is left out from now on, and what
 * is new, moved or set otherwise. Filter-off and looking up are told when they are due and not here; where
 * a list for this sky has no filter-off any more, that the filter stays on is.
 */
import { useRef, useState } from "react";
import { ownValue } from "../../../shared/fields/own-key.ts";
import { same } from "../../../shared/plan/edits/same.ts";
import { rigInVariant } from "../../../shared/plan/edits/variant-cues.ts";
import type { Cue } from "../../../shared/plan/model/cue.ts";
import type { Rig } from "../../../shared/plan/model/plan.ts";
import { isFilterOff, isLookUp } from "../../../shared/run/cues/cue-kinds.ts";
import { cueTimeline } from "../../../shared/run/cues/cue-timeline.ts";
import type { EffectiveContacts } from "../../../shared/run/effective-contacts.ts";
import { variantOf } from "../../../shared/run/variant-of.ts";
import type { Sky } from "../../../shared/run/vocabulary.ts";
import type { RunMs } from "../../../shared/time/instants.ts";
import type { RigScene } from "./rig-scene.ts";

export interface SkyChange {
  rig: Rig;
  sky: Sky;
  staysOn: boolean;
  changed: readonly Cue[];
  gone: readonly Cue[];
}

/** `planned`: the rig as the plan has it, in no variant. */
export function skyChange(
  planned: Rig,
  before: Sky,
  sky: Sky,
  contacts: EffectiveContacts,
  runNow: RunMs,
): SkyChange {
  // Lists of their own: the one in force keeps its kept timeline (cueTimeline).
  const ahead = (of: Sky): Map<string, Cue> => {
    const cues = [...rigInVariant(planned, of).cues];
    const coming = cueTimeline({ cues }, contacts).filter(({ dueMs }) => dueMs > runNow);
    return new Map(coming.map(({ cue }) => [cue.id, cue]));
  };
  const [was, is] = [ahead(before), ahead(sky)];
  const told = (cue: Cue) => !isFilterOff(cue) && !isLookUp(cue);
  const opens = (cues: Map<string, Cue>) => [...cues.values()].some((cue) => isFilterOff(cue));
  return {
    rig: planned,
    sky,
    staysOn: sky === "overcast" || (opens(was) && !opens(is)),
    changed: [...is.values()].filter((cue) => told(cue) && !same(was.get(cue.id), cue)),
    gone: [...was.values()].filter((cue) => told(cue) && !is.has(cue.id)),
  };
}

/** The changes that nobody has read yet, and how to say that they were. A page just opened starts from what is. */
export function useSkyChanges(scene: RigScene | null): [SkyChange[], () => void] {
  const known = useRef<{ runId: string; skies: Record<string, Sky> }>({ runId: "", skies: {} });
  const found = useRef<Record<string, SkyChange>>({});
  const [, draw] = useState(0);
  if (!scene) return [[], () => undefined];
  const { runId } = scene.view.run;
  if (known.current.runId !== runId) {
    known.current = { runId, skies: {} };
    found.current = {};
  }
  const { skies } = known.current;
  const changes = scene.rigs.flatMap(({ rig: { id } }) => {
    const sky = variantOf(scene.view.run, id);
    const before = ownValue(skies, id);
    if (before === undefined) skies[id] = sky;
    const planned = scene.state.plan.rigs.find((one) => one.id === id);
    if (before === undefined || before === sky || !planned) {
      delete found.current[id];
      return [];
    }
    const kept = ownValue(found.current, id);
    if (kept?.sky === sky && kept.rig === planned) return [kept];
    const change = skyChange(planned, before, sky, scene.view.contacts, scene.view.runNow);
    found.current[id] = change;
    return [change];
  });
  const read = (): void => {
    for (const { rig, sky } of changes) skies[rig.id] = sky;
    draw((times) => times + 1);
  };
  return [changes, read];
}
