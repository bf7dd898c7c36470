/**
 * Walks the table of reported fields (shared/run/facts/reported-fields.ts): what stands in it is
 * taken, described, kept, given out and written down, without a second list anywhere. What the
 * phone's report screen makes of it: tests/console/rig/report/report-screen.test.tsx.
 */
import { readFileSync } from "node:fs";
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import {
  ALSO_BY_INSTRUMENT,
  INSTRUMENT_FIELD_NAMES,
  INSTRUMENT_FIELDS,
} from "../../shared/run/facts/instrument-fields.ts";
import { ALL_REPORTED, ReportSchema } from "../../shared/run/facts/report-schema.ts";
import {
  type FieldName,
  type FieldType,
  REGISTERS,
  REPORTED,
  type ReportedField,
  STATE_FIELDS,
} from "../../shared/run/facts/reported-fields.ts";
import { parse } from "../../shared/run/orders/commands.ts";
import { LUXOR_PLAN, startTestHub, type TestHub } from "../support/test-hub.ts";

/** What people say. */
const FIELDS = Object.entries(REPORTED) as [FieldName, ReportedField][];
const isOfInstruments = (field: string) =>
  field === "instrument" ||
  Object.hasOwn(INSTRUMENT_FIELDS, field) ||
  ALSO_BY_INSTRUMENT.has(field as FieldName);
/** What instruments say, and what both do. */
const BY_INSTRUMENT = Object.entries<{ type: FieldType }>(ALL_REPORTED).filter(([field]) =>
  isOfInstruments(field),
);

/** A value that a field may hold, and one that it may not. */
function samples(type: FieldType): { good: unknown; bad: unknown } {
  switch (type.is) {
    case "number":
      return { good: type.most, bad: type.most + 1 };
    case "flag":
      return { good: true, bad: "true" };
    case "word":
      return { good: type.words[0], bad: "perhaps" };
    case "cue":
      return { good: "focus", bad: "constructor" };
    case "checks":
      return { good: { level: true }, bad: { level: "yes" } };
    case "text":
      return { good: "Slot 3", bad: "x".repeat(type.most + 1) };
    case "time":
      return { good: Date.UTC(2027, 7, 2, 10), bad: 1_800_000_000 };
    case "flags":
      return { good: Object.fromEntries(type.of.map((name) => [name, true])), bad: {} };
  }
}

describe.each(Object.entries<{ type: FieldType }>(ALL_REPORTED))("%s", (field, { type }) => {
  it("is taken within its bounds and refused by name beyond them", () => {
    const { good, bad } = samples(type);
    expect(parse(ReportSchema, { [field]: good })).toEqual({ ok: true, value: { [field]: good } });
    const refused = parse(ReportSchema, { [field]: bad });
    expect(refused.ok ? "" : (refused.refusal.data?.field ?? refused.refusal.field)).toMatch(
      new RegExp(`^${field}`),
    );
  });
});

describe("a report with every field", () => {
  const report = Object.fromEntries(FIELDS.map(([field, { type }]) => [field, samples(type).good]));
  let hub: TestHub;
  let token: string;

  beforeAll(async () => {
    hub = await startTestHub();
    token = await hub.signIn();
    const plan = await hub.call("GET", "/api/plan", undefined, token);
    const match = { "If-Match": plan.headers.get("etag") ?? "" };
    await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, match);
    const link = await hub.call("GET", "/api/rigs/west/link", undefined, token);
    const body = { id: "all", atUtcMs: hub.clock.now(), ...report };
    expect(await hub.call("POST", "/api/rigs/west/reports", body, link.body.token)).toMatchObject({
      status: 200,
    });
  });
  afterAll(async () => {
    await hub.stop();
    expect(hub.errors).toEqual([]);
  });

  it("is described field by field in openapi.json, and what is known of the state, too", async () => {
    const { paths } = (await hub.call("GET", "/api/openapi.json")).body;
    const taken = paths["/api/rigs/{id}/reports"].post.requestBody.content["application/json"].schema;
    expect(Object.keys(taken.properties)).toEqual(expect.arrayContaining(FIELDS.map(([field]) => field)));
    const given = paths["/api/run"].get.responses[200].content["application/json"].schema;
    const rig = given.properties.rigs.items;
    expect(rig.required).toEqual(expect.arrayContaining(["filter", ...STATE_FIELDS]));
    expect(rig.properties.cardFreeGB).toMatchObject({ anyOf: [{ maximum: 100_000 }, { type: "null" }] });
  });

  it("is kept, each field with who said it", () => {
    const { state } = hub.parts.keeper;
    const record = state.runs[state.realRunId]?.rigs.west;
    for (const field of REGISTERS)
      expect(record?.[field]).toMatchObject({ value: report[field], by: "rig:west", deviceId: "http:west" });
    expect(Object.values(record?.filter.byDevice ?? {})).toMatchObject([{ value: report.filter }]);
  });

  it("stands in GET /api/run", async () => {
    const { rigs } = (await hub.call("GET", "/api/run", undefined, token)).body;
    for (const field of ["filter", ...STATE_FIELDS]) expect(rigs[0]).toHaveProperty(field, report[field]);
  });

  it("stands in the log in both forms, each field in a column of its own", async () => {
    const { events } = (await hub.call("GET", "/api/log.json", undefined, token)).body;
    const logged = events.find((event: any) => event.type === "rigReported");
    expect(logged.payload).toMatchObject(report);
    const rows = (await hub.call("GET", "/api/log.csv", undefined, token)).body.trim().split("\r\n");
    const columns: string[] = rows[0].split(",");
    const cells: string[] = splitRow(rows[logged.seq]);
    for (const [field] of FIELDS) {
      const value = report[field];
      const said = typeof value === "object" ? JSON.stringify(value) : String(value);
      expect([field, cells[columns.indexOf(field)]]).toEqual([field, said]);
    }
    // Other events leave these columns empty.
    expect(splitRow(rows[1]).slice(columns.indexOf("filter")).join("")).toBe("");
  });
});

describe("a report by an instrument with every field", () => {
  const said = Object.fromEntries(BY_INSTRUMENT.map(([field, { type }]) => [field, samples(type).good]));
  /** Of people alone: cues, checks, what was seen or looked at. */
  const others = Object.fromEntries(
    FIELDS.filter(([field]) => !isOfInstruments(field)).map(([field, { type }]) => [
      field,
      samples(type).good,
    ]),
  );
  const { instrument, filter, ...kept } = said;
  let hub: TestHub;
  let token: string;
  let link: string;

  beforeAll(async () => {
    hub = await startTestHub();
    token = await hub.signIn();
    await hub.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
    link = (await hub.call("GET", "/api/rigs/west/link", undefined, token)).body.token;
    const body = { id: "all", atUtcMs: hub.clock.now(), ...others, ...said };
    expect(await hub.call("POST", "/api/rigs/west/reports", body, link)).toMatchObject({ status: 200 });
  });
  afterAll(() => hub.stop());

  it("is kept apart from people's words, and without what only people can say", () => {
    const { state } = hub.parts.keeper;
    const record = state.runs[state.realRunId]?.rigs.west;
    for (const field of REGISTERS) expect([field, record?.[field]]).toEqual([field, undefined]);
    expect([record?.cues, record?.checks, record?.lastUtcMs]).toEqual([{}, {}, null]);
    for (const [field, value] of Object.entries(kept))
      expect(record?.instruments[field]).toMatchObject({ value, by: "instrument:folder" });
  });

  it("stands in GET /api/run with who said it and when, and beside a person's word where they differ", async () => {
    const at = hub.clock.now();
    const person = { id: "hand", atUtcMs: at, cardFreeGB: 38 };
    await hub.call("POST", "/api/rigs/west/reports", person, link);
    const rig = (await hub.call("GET", "/api/run", undefined, token)).body.rigs[0];
    for (const field of ["frames", "lastFrameUtcMs", "tracking", "recording"]) {
      expect(rig).toHaveProperty(field, said[field]);
      expect(rig.from[field]).toMatchObject({ by: "instrument", instrument: "folder" });
      expect(Math.abs(rig.from[field].atUtcMs - at)).toBeLessThan(60_000);
    }
    expect(rig).toMatchObject({
      cardFreeGB: 38,
      from: {
        cardFreeGB: { by: "person", instrument: null, other: { by: "instrument", value: 100_000 } },
      },
    });
    expect(Object.keys(rig)).toEqual(expect.arrayContaining(INSTRUMENT_FIELD_NAMES));
  });

  it("stands in the log, each field in a column of its own, and says what was left out", async () => {
    const { events } = (await hub.call("GET", "/api/log.json", undefined, token)).body;
    const logged = events.find((event: any) => event.type === "rigReported");
    expect(logged.payload).toEqual({ ...said, rigId: "west", flags: ["not for an instrument"] });
    const rows = (await hub.call("GET", "/api/log.csv", undefined, token)).body.trim().split("\r\n");
    const columns: string[] = rows[0].split(",");
    const cells: string[] = splitRow(rows[logged.seq]);
    for (const [field, value] of Object.entries(said))
      expect([field, cells[columns.indexOf(field)]]).toEqual([field, String(value)]);
  });

  it("is refused by name where no instrument is named for what only one can say", async () => {
    const body = { id: "nameless", atUtcMs: hub.clock.now(), frames: 3 };
    expect(await hub.call("POST", "/api/rigs/west/reports", body, link)).toMatchObject({
      status: 400,
      body: { error: { field: "instrument" } },
    });
  });
});

/** RFC 4180, for cells without line ends. */
function splitRow(row: string): string[] {
  return [...row.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)].map(
    ([, quoted, plain]) => quoted?.replaceAll('""', '"') ?? plain ?? "",
  );
}

describe.each(["en", "es", "fr", "ar"])("the words in %s", (language) => {
  const file = new URL(`../../console/words/${language}/facts.json`, import.meta.url);
  const words = JSON.parse(readFileSync(file, "utf8")) as Record<string, string>;

  it("name every field that is asked for on the report screen, and its values", () => {
    for (const [field, { type, asked }] of FIELDS) {
      if (asked !== "report") continue;
      const keys = [
        `fact.${field}`,
        ...(type.is === "number" ? [`fact.${field}.value`] : []),
        // The filter's states have words and marks of their own.
        ...(type.is === "word" && field !== "filter"
          ? type.words.map((word) => `fact.${field}.${word}`)
          : []),
      ];
      for (const key of keys) expect([key, words[key] ?? ""]).not.toEqual([key, ""]);
    }
  });
});
