/** `--list`: what is found here, a line each, and then an end. Only asks; joins nothing. */
import { readdir } from "node:fs/promises";
import { userInfo } from "node:os";
import { join } from "node:path";
import { systemClock } from "../../shared/time/clock.ts";
import { GPS_PORT, INDI_PORT, type Instruments } from "./agent-options.ts";
import type { Source, SourcePorts } from "./source.ts";
import { AlpacaSource } from "./sources/alpaca.ts";
import { FolderSource } from "./sources/folder.ts";
import { askGphoto } from "./sources/gphoto.ts";
import { IndiSource } from "./sources/indi.ts";
import { ReceiverSource } from "./sources/receiver.ts";

/** How long everything has to answer, ms. */
const LOOK_MS = 5000;
const HERE = "127.0.0.1";

/** What is not named is looked for where it usually is. Resolves after some seconds, whatever answers. */
export async function listWhatIsHere(look: Instruments, print: (line: string) => void): Promise<void> {
  // The last word of each source is what there is to say of it.
  const lines = new Map<string, string>();
  const tell = (line: string): void => void lines.set(/^.*?: /.exec(line)?.[0] ?? line, line);
  const ports: SourcePorts = {
    mono: () => systemClock.mono(),
    utcMs: () => null,
    utcBoundMs: () => Number.POSITIVE_INFINITY,
    say: () => undefined,
    forget: () => undefined,
    tell,
  };
  const or = <Item>(named: readonly Item[], usual: Item): readonly Item[] =>
    named.length > 0 ? named : [usual];
  const folders = look.watch.length > 0 ? look.watch : await mounted();
  const sources: Source[] = [
    ...folders.map((at) => new FolderSource(at, { ...ports, memory: undefined, remember: () => undefined })),
    ...or(look.indi, { host: HERE, port: INDI_PORT }).map((at) => new IndiSource(at, ports)),
    ...or(look.alpaca, "auto" as const).map((at) => new AlpacaSource(at, ports)),
    ...or(look.gps, { host: HERE, port: GPS_PORT }).map(
      (at) => new ReceiverSource(at, { ...ports, setOwnClock: () => undefined }),
    ),
  ];
  if (folders.length === 0) tell("folders: no card or stick is mounted; name a folder with --watch");
  for (const source of sources) source.start();
  const [cameras] = await Promise.all([
    findCameras(),
    new Promise((resolve) => setTimeout(resolve, LOOK_MS)),
  ]);
  await Promise.all(sources.map((source) => source.stop()));
  for (const line of [...lines.values(), ...cameras]) print(line);
}

/** By what gphoto2 finds on cables: it looks, and opens none. */
async function findCameras(): Promise<string[]> {
  const asked = await askGphoto(null, [["--auto-detect"]], { waitMs: LOOK_MS });
  if (!asked.ok)
    return [
      asked.why === "not installed"
        ? "cameras: gphoto2 is not installed (on Debian: apt install gphoto2)"
        : "cameras: gphoto2 does not answer",
    ];
  const rows = asked.text.split("\n").flatMap((line) => {
    const [, model, address] = /^(\S.*?)\s{2,}((?:usb|ptpip|serial|disk):\S*)\s*$/.exec(line) ?? [];
    return model && address ? [`camera ${address}: ${model}`] : [];
  });
  return rows.length > 0 ? rows : ["cameras: none on a cable"];
}

/** What is mounted where systems mount cards and sticks. */
async function mounted(): Promise<string[]> {
  const { username } = userInfo();
  const places = [`/media/${username}`, `/run/media/${username}`, "/Volumes"];
  const found = await Promise.all(
    places.map(async (place) => {
      const names = await readdir(place).catch(() => [] as string[]);
      return names.map((name) => join(place, name));
    }),
  );
  return found.flat();
}
