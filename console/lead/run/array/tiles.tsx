/** Rigs that need nobody by themselves: name and mark, each opens its rig. */
import { type CSSProperties, memo } from "react";
import type { AlertPriority } from "../../../../shared/run/alerts/priority.ts";
import type { RigStatus } from "../../../../shared/run/views/rig-status.ts";
import { FilterMark } from "../../../parts/filter-mark.tsx";
import type { RunNow } from "../../shell/use-run.ts";
import type { Trouble } from "./rig-trouble.ts";
import "./glance.css";

interface TilesProps {
  rows: readonly { status: RigStatus; troubles: readonly Pick<Trouble, "priority">[] }[];
  now: RunNow;
}

/** So many stand beside each other at least on a wide screen, so that all have room. */
function across(tiles: number): number {
  return tiles > 30 ? 6 : tiles > 12 ? 4 : 3;
}

export function Tiles({ rows, now }: TilesProps) {
  const room = { "--tiles": rows.length, "--wide": across(rows.length) } as CSSProperties;
  return (
    <ul className="glance__tiles" data-tiles={rows.length} style={room}>
      {rows.map(({ status, troubles }) => (
        <Tile
          key={status.rig.id}
          id={status.rig.id}
          name={status.rig.name}
          filter={status.filter}
          exposed={status.exposed}
          linked={isLinked(status, now)}
          trouble={troubles[0]?.priority ?? "none"}
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
  trouble: AlertPriority | "none";
}

/** Drawn anew only where its rig looks otherwise. */
const Tile = memo(function Tile({ id, name, filter, exposed, linked, trouble }: TileProps) {
  return (
    <li>
      <a
        className="glance__tile"
        href={`#array/${id}`}
        data-tile={id}
        data-rig={id}
        data-filter={filter}
        data-linked={linked}
        data-trouble={trouble}
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
