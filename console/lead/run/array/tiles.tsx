/** Rigs that need nobody now: name and mark, each opens its rig. */
import { memo } from "react";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import type { RunNow } from "../../shell/use-run.ts";
import "./glance.css";

export function Tiles({ rows, now }: { rows: readonly { status: RigStatus }[]; now: RunNow }) {
  return (
    <ul className="glance__tiles" data-tiles={rows.length}>
      {rows.map(({ status }) => (
        <Tile
          key={status.rig.id}
          id={status.rig.id}
          name={status.rig.name}
          filter={status.filter}
          exposed={status.exposed}
          linked={isLinked(status, now)}
        />
      ))}
    </ul>
  );
}

interface TileProps {
  id: string;
  name: string;
  filter: RigStatus["filter"];
  exposed: boolean;
  linked: boolean;
}

/** Drawn anew only where its rig looks otherwise. */
const Tile = memo(function Tile({ id, name, filter, exposed, linked }: TileProps) {
  return (
    <li>
      <a
        className="glance__tile"
        href={`#array/${id}`}
        data-tile={id}
        data-rig={id}
        data-filter={filter}
        data-linked={linked}
      >
        <FilterMark state={filter} exposed={exposed} />
        <span>{name}</span>
      </a>
    </li>
  );
});

function isLinked(status: RigStatus, now: RunNow): boolean {
  return now.presenceKnown && status.linked.length > 0;
}

/** What a rig tells a test, whichever way it is shown. */
export function rowData(status: RigStatus, now: RunNow) {
  return {
    "data-rig": status.rig.id,
    "data-filter": status.filter,
    "data-linked": isLinked(status, now),
  };
}
