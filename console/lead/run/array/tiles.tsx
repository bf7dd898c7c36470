/** Rigs that need nobody now: name and mark, each opens its rig. */
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import type { RunNow } from "../../shell/use-run.ts";
import "./glance.css";

export function Tiles({ rows, now }: { rows: readonly { status: RigStatus }[]; now: RunNow }) {
  return (
    <ul className="glance__tiles" data-tiles={rows.length}>
      {rows.map(({ status }) => (
        <li key={status.rig.id}>
          <a
            className="glance__tile"
            href={`#array/${status.rig.id}`}
            data-tile={status.rig.id}
            {...rowData(status, now)}
          >
            <FilterMark state={status.filter} exposed={status.exposed} />
            <span>{status.rig.name}</span>
          </a>
        </li>
      ))}
    </ul>
  );
}

/** What a rig tells a test, whichever way it is shown. */
export function rowData(status: RigStatus, now: RunNow) {
  return {
    "data-rig": status.rig.id,
    "data-filter": status.filter,
    "data-linked": now.presenceKnown && status.linked.length > 0,
  };
}
