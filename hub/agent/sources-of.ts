/** The sources that read what stands beside one rig, from its options. */
import type { Instruments } from "./agent-options.ts";
import type { FileStore } from "./file-store.ts";
import type { RigSourcePorts } from "./rig-agent.ts";
import type { Source } from "./source.ts";
import { AlpacaSource } from "./sources/alpaca.ts";
import { CameraSource } from "./sources/camera.ts";
import { FolderSource } from "./sources/folder.ts";
import { IndiSource } from "./sources/indi.ts";
import { ReceiverSource } from "./sources/receiver.ts";

export function sourcesOf(
  rig: Instruments,
  store: FileStore,
  ports: RigSourcePorts,
  speed: number,
): Source[] {
  const folders = rig.watch.map((folder) => {
    const name = `folder ${folder}`;
    const memory = store.memory(name);
    return new FolderSource(folder, {
      ...ports,
      memory,
      remember: (kept) => store.remember(name, kept),
      lookMs: 1000 / speed,
    });
  });
  return [
    ...folders,
    ...rig.cameras.map((address) => new CameraSource(address, ports, rig.watch.length === 0)),
    ...rig.indi.map((at) => new IndiSource(at, ports)),
    ...rig.alpaca.map((at) => new AlpacaSource(at, ports)),
    ...rig.gps.map((at) => new ReceiverSource(at, ports)),
  ];
}
