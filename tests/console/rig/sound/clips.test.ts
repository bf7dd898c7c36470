/** Clips say what the catalogue says, exist, and stay small. */
import { readdirSync, readFileSync, statSync } from "node:fs";
import { describe, expect, it } from "vitest";

const folder = new URL("../../../../console/", import.meta.url);
const json = (file: string) => JSON.parse(readFileSync(new URL(file, folder), "utf8"));

describe.each(["en", "es", "fr", "ar"])("clips in %s", (language) => {
  const { clips } = json(`rig/clips/${language}/manifest.json`) as {
    clips: Record<string, string>;
  };
  const words = {
    ...json(`words/${language}/common.json`),
    ...json(`words/${language}/plan.json`),
    ...json(`words/${language}/run.json`),
  };
  const files = readdirSync(new URL(`rig/clips/${language}/`, folder)).filter((name) =>
    name.endsWith(".mp3"),
  );

  it("say what the catalogue says now (else run scripts/build-clips.mjs)", () => {
    for (const [key, text] of Object.entries(clips)) expect(text, key).toBe(words[key]);
  });

  it("cover every filter cue, the count-in and 'cover every lens'", () => {
    for (const key of ["cue.filter-off", "cue.filter-off.by-eye", "cue.filter-on", "cue.eyes-away"])
      expect(clips[key]).toBeDefined();
    for (const key of ["cue.anyFilter.touch", "rig.say.ready", "rig.say.cover"])
      expect(clips[key]).toBeDefined();
  });

  it("are all there, and no file is left over", () => {
    // Words that two keys have in common have the clip of the first.
    const first = Object.entries(clips).filter(
      ([key, text]) => Object.entries(clips).find(([, other]) => other === text)?.[0] === key,
    );
    expect(first.map(([key]) => `${key.replaceAll(".", "-")}.mp3`).sort()).toEqual(files.sort());
  });

  // MPEG audio frames begin with eleven set bits (ISO/IEC 11172-3).
  it("are MPEG audio of some kilobytes, less than 120 kB together", () => {
    let bytes = 0;
    for (const file of files) {
      const url = new URL(`rig/clips/${language}/${file}`, folder);
      const head = readFileSync(url);
      const audio =
        head.subarray(0, 3).toString("latin1") === "ID3" ||
        ((head[0] ?? 0) === 0xff && (head[1] ?? 0) >= 0xe0);
      expect(audio, file).toBe(true);
      bytes += statSync(url).size;
    }
    expect(bytes).toBeLessThan(120_000);
  });
});
