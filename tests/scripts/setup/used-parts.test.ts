/** What the build leaves out of the pages' libraries is used by no page (scripts/setup/vite/used-parts.ts). */
import { readdirSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { expect, test } from "vitest";

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
