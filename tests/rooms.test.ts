/**
 * The map in DEVELOPERS.md is true, and no arrow leads back up: among the files of shared/ and hub/,
 * and among the hub's rooms, nothing imports what composes it. Types count: who reads one file must
 * not need all. Imports between the rooms of shared/ are held by Biome's rules and the project
 * references.
 */
import { existsSync, readdirSync, readFileSync } from "node:fs";
import { dirname, join, normalize } from "node:path";
import { fileURLToPath } from "node:url";
import { describe, expect, test } from "vitest";

const ROOT = fileURLToPath(new URL("..", import.meta.url));

type Graph = Map<string, Set<string>>;

function filesOf(folder: string): string[] {
  return readdirSync(join(ROOT, folder), { recursive: true, encoding: "utf8" })
    .filter((name) => name.endsWith(".ts"))
    .map((name) => join(folder, name));
}

/** Which file imports which, by paths from the project's root. */
function importsOf(files: readonly string[]): Graph {
  return new Map(
    files.map((file) => {
      const text = readFileSync(join(ROOT, file), "utf8");
      const paths = [...text.matchAll(/\bfrom "(\.[^"]+)"|\bimport\("(\.[^"]+)"\)/g)];
      return [file, new Set(paths.map(([, a, b]) => normalize(join(dirname(file), a ?? b ?? ""))))];
    }),
  );
}

/** The same among what `roomOf` puts files into. */
function among(files: Graph, roomOf: (file: string) => string): Graph {
  const rooms: Graph = new Map();
  for (const [file, others] of files) {
    const own = roomOf(file);
    const known = rooms.get(own) ?? new Set();
    rooms.set(own, known);
    for (const other of others) if (files.has(other) && roomOf(other) !== own) known.add(roomOf(other));
  }
  return rooms;
}

/** A way that leads back to where it began; null when there is none. */
function roundTrip(graph: Graph): string[] | null {
  const done = new Set<string>();
  const walk = (at: string, way: readonly string[]): string[] | null => {
    if (way.includes(at)) return [...way.slice(way.indexOf(at)), at];
    if (done.has(at)) return null;
    for (const next of graph.get(at) ?? []) {
      const found = walk(next, [...way, at]);
      if (found) return found;
    }
    done.add(at);
    return null;
  };
  for (const start of graph.keys()) {
    const found = walk(start, []);
    if (found) return found;
  }
  return null;
}

describe("the map", () => {
  test("names only files that are there", () => {
    const text = readFileSync(join(ROOT, "DEVELOPERS.md"), "utf8");
    const named = [...text.matchAll(/`((?:shared|hub|console|tests|scripts)\/[\w./-]+\.(?:ts|tsx|mjs))`/g)];
    expect(named.length).toBeGreaterThan(40);
    expect(named.map(([, path = ""]) => path).filter((path) => !existsSync(join(ROOT, path)))).toEqual([]);
  });
});

describe("imports", () => {
  const hub = importsOf(filesOf("hub"));
  const all = new Map([...importsOf(filesOf("shared")), ...hub]);

  test("are seen by this test, and a round trip is found where there is one", () => {
    expect(all.get("hub/sockets/orders.ts")).toContain("hub/sockets/client.ts");
    expect(
      roundTrip(
        new Map([
          ["a", new Set(["b"])],
          ["b", new Set(["c"])],
          ["c", new Set(["b"])],
        ]),
      ),
    ).toEqual(["b", "c", "b"]);
  });

  test("lead no file of shared and hub back to itself", () => {
    expect(roundTrip(all)).toBeNull();
  });

  test("lead no room of the hub back to itself; files beside the rooms are each its own", () => {
    const roomOf = (file: string) => (dirname(file) === "hub" ? file : file.split("/").slice(0, 2).join("/"));
    expect(roundTrip(among(hub, roomOf))).toBeNull();
  });
});
