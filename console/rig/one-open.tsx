/**
 * The rigs of a phone one under another, one of them open: what is asked of four at once would be four
 * screens long. A single rig is always open.
 */
import { type ReactNode, useState } from "react";
import type { RigStatus } from "../../shared/run/views/rig-status.ts";
import { FilterMark } from "../parts/filter-mark.tsx";
import { ownFilter } from "./run/own-filter.ts";

interface OneOpenProps {
  rigs: readonly RigStatus[];
  /** The rig that is open at first. */
  first: string | undefined;
  /** Stands beside the rig's name. */
  beside?: (status: RigStatus) => ReactNode;
  children: (status: RigStatus) => ReactNode;
}

export function OneOpen({ rigs, first, beside, children }: OneOpenProps) {
  const [open, setOpen] = useState(first);
  return rigs.map((status) => {
    const { id, name } = status.rig;
    const shown = rigs.length === 1 || id === open;
    return (
      <section key={id} className="rig-part" data-rig={id} data-open={shown}>
        <h2>
          {rigs.length === 1 ? (
            <>
              {name} {beside?.(status)}
            </>
          ) : (
            <button
              type="button"
              className="rig-opener"
              data-action="open-rig"
              data-rig={id}
              aria-expanded={shown}
              onClick={() => setOpen(shown ? undefined : id)}
            >
              <span className="rig-opener-words">
                {name} {beside?.(status)}
              </span>
              <FilterMark state={ownFilter(status)} />
            </button>
          )}
        </h2>
        {shown ? children(status) : null}
      </section>
    );
  });
}
