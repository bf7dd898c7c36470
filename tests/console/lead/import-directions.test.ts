/** The lead's folder is cut by job: a job may use the shell, never another job; the shell uses no job. */
import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import { describe, expect, it } from "vitest";

const LEAD = join(import.meta.dirname, "../../../console/lead");
const JOBS = ["plan", "set-up", "practise", "run", "after"];
const IMPORT = /(?:\bfrom\s+|\bimport\s*\(?\s*|@import\s+)["'](\.[^"']+)["']/g;

interface Arrow {
  from: string;
  to: string;
}

/** Every import of one file of the folder by another, lazily loaded ones and styles included. */
function arrows(): Arrow[] {
  return readdirSync(LEAD, { recursive: true, encoding: "utf8" })
    .filter((file) => /\.(tsx?|css)$/.test(file))
    .flatMap((file) => {
      const text = readFileSync(join(LEAD, file), "utf8");
      return [...text.matchAll(IMPORT)].map(([, path]) => ({
        from: file,
        to: relative(LEAD, join(LEAD, dirname(file), path as string)),
      }));
    })
    .filter(({ to }) => !to.startsWith(".."));
}

/** The part of the folder that a file is in; "" for the frame, which puts the parts together. */
const partOf = (file: string): string => (file.includes("/") ? (file.split("/")[0] as string) : "");

describe("imports within the lead's pages", () => {
  const all = arrows();

  it("are seen by this test: the frame reaches every job, and every job the shell", () => {
    for (const job of JOBS) {
      expect(all.some(({ from, to }) => partOf(from) === "" && partOf(to) === job)).toBe(true);
      expect(all.some(({ from, to }) => partOf(from) === job && partOf(to) === "shell")).toBe(true);
    }
  });

  it("never lead from the shell or a job into another job", () => {
    const strays = all.filter(
      ({ from, to }) => partOf(from) !== "" && JOBS.includes(partOf(to)) && partOf(from) !== partOf(to),
    );
    expect(strays).toEqual([]);
  });

  it("never lead from the shell or a job up to the frame", () => {
    expect(all.filter(({ from, to }) => partOf(from) !== "" && partOf(to) === "")).toEqual([]);
  });
});
