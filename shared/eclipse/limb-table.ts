/** The Moon's limb terrain as shipped: the hub's alone, half a megabyte, unpacked when first asked for. */
import { LimbBelt, type PackedBelt } from "./limb-belt.ts";
import packed from "./limb-table.json" with { type: "json" };

let belt: LimbBelt | undefined;

/** The belt of terrain near the limb; about 20 ms and 1 MB the first time, free afterwards. */
export function limbBelt(): LimbBelt {
  belt ??= LimbBelt.unpack(packed as PackedBelt);
  return belt;
}
