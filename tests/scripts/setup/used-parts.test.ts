/** What the build leaves out of the pages' libraries is used by no page (scripts/setup/vite/used-parts.ts). */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";
import { UNUSED_OF_REACT } from "../../../scripts/setup/vite/used-parts.ts";

const ROOT = join(import.meta.dirname, "../../..");

function sources(folder: string): [string, string][] {
  return readdirSync(join(ROOT, folder), { recursive: true, encoding: "utf8" })
    .filter((file) => /\.tsx?$/.test(file))
    .map((file) => [`${folder}/${file}`, readFileSync(join(ROOT, folder, file), "utf8")]);
}

test("no page imports from the DOM package itself, of which only its client's part is built", () => {
  const pages = [...sources("console"), ...sources("shared")];
  expect(pages.some(([, text]) => text.includes('from "react-dom/client"'))).toBe(true);
  expect(pages.filter(([, text]) => /["']react-dom["']/.test(text)).map(([file]) => file)).toEqual([]);
});

test("pages name the transports that are built, and leave reconnecting to us", () => {
  const text = readFileSync(join(ROOT, "console/link/browser-socket.ts"), "utf8");
  expect(text).toContain('transports: ["websocket", "polling"]');
  expect(text).toContain("reconnection: false");
});

test("no page, and no part of the DOM package, reads an export of React that is not built", () => {
  const unused: ReadonlySet<string> = new Set(UNUSED_OF_REACT);
  const named = sources("console").flatMap(([, text]) =>
    [...text.matchAll(/import ([^;]*?) from "react";/g)].flatMap(
      ([, names]) => names?.match(/[\w*]+/g) ?? [],
    ),
  );
  expect(named).toEqual(expect.arrayContaining(["useState", "useSyncExternalStore"]));
  // By their names alone: a whole React would hide what of it is read.
  expect(named).not.toContain("*");
  expect(named).not.toContain("React");
  expect(named.filter((name) => unused.has(name))).toEqual([]);
  const client = readFileSync(
    join(ROOT, "node_modules/react-dom/cjs/react-dom-client.production.js"),
    "utf8",
  );
  const read = [...client.matchAll(/\bReact\.(\w+)/g)].map(([, name]) => name);
  expect(read).toContain("version");
  expect(read.filter((name) => name && unused.has(name))).toEqual([]);
});
