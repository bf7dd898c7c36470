import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { brotliDecompressSync, gunzipSync } from "node:zlib";
import { afterEach, beforeEach, describe, expect, it } from "vitest";
import { precompressFolder } from "../../scripts/setup/vite/precompress.ts";

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), "noonfall-press-"));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe("precompressFolder", () => {
  it("writes a .gz and a .br that give back the file, for text worth it, in every folder", async () => {
    const text = "the Moon's shadow ".repeat(500);
    mkdirSync(join(folder, "assets"));
    writeFileSync(join(folder, "assets", "page.js"), text);
    writeFileSync(join(folder, "small.css"), "a{}");
    writeFileSync(join(folder, "face.woff2"), text);
    expect(await precompressFolder(folder)).toBe(1);
    expect(readdirSync(folder).sort()).toEqual(["assets", "face.woff2", "small.css"]);
    writeFileSync(join(folder, "assets", "rig-1a2b.js"), text);
    expect(await precompressFolder(folder)).toBe(2);
    const first = join(folder, "assets", "rig-1a2b.js.gz");
    expect(gunzipSync(readFileSync(first)).toString()).toBe(text);
    const file = join(folder, "assets", "page.js");
    expect(gunzipSync(readFileSync(`${file}.gz`)).toString()).toBe(text);
    expect(brotliDecompressSync(readFileSync(`${file}.br`)).toString()).toBe(text);
  });
});
