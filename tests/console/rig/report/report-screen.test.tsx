/** The report screen asks for whatever the table of fields says that a phone asks for. */
import "../../../../console/words/bundles/common.ts";
import "../../../../console/words/bundles/rig.ts";
import { renderToString } from "react-dom/server";
import { describe, expect, it } from "vitest";
import { factText } from "../../../../console/parts/words-for-fact.ts";
import { OwnLog } from "../../../../console/rig/report/own-log.ts";
import { ReportScreen } from "../../../../console/rig/report/report-screen.tsx";
import { reportWords } from "../../../../console/rig/report/report-words.ts";
import { ConfirmGuard } from "../../../../console/rig/run/confirm-guard.ts";
import type { SessionView } from "../../../../shared/link/session-types.ts";
import { REPORTED, type ReportedField } from "../../../../shared/run/facts/reported-fields.ts";
import { SiteWorld } from "../../../shared/run/site-world.ts";
import { S, sceneOf } from "../rig-world.ts";

const nothing = () => undefined;

function drawn(world: SiteWorld, at: number): string {
  return renderToString(
    <ReportScreen
      scene={sceneOf(world, at)}
      session={{ queued: 0, rejected: [] as SessionView["rejected"] } as SessionView}
      acts={{
        guard: new ConfirmGuard(),
        undo: null,
        unsafe: false,
        send: nothing,
        act: nothing,
        takeBack: nothing,
      }}
      log={new OwnLog({ get: async () => undefined, set: async () => undefined })}
    />,
  );
}

const ATTRIBUTE = { number: "data-field", word: "data-choice", flag: "data-flag" } as const;

describe("the report screen", () => {
  const world = SiteWorld.planned();
  const at = world.predicted.c2 - 900 * S;

  it("has a control for every field that the table says is reported there", () => {
    const html = drawn(world, at);
    const asked = Object.entries<ReportedField>(REPORTED).filter(([, row]) => row.asked === "report");
    expect(asked.length).toBeGreaterThan(5);
    for (const [field, { type }] of asked)
      expect(html).toContain(`${ATTRIBUTE[type.is as keyof typeof ATTRIBUTE]}="${field}"`);
  });

  it("asks for the camera's battery and not for the phone's, which the phone says by itself", () => {
    const html = drawn(world, at);
    expect(html).toContain('data-field="batteryPct"');
    expect(html).not.toContain("phoneBatteryPct");
  });

  it("shows what was last said, and what nobody has said", () => {
    world.report("west", { cardFreeGB: 3.14, sky: "thin", tracking: true }, { at });
    const html = drawn(world, at + S);
    expect(html).toMatch(/data-field="cardFreeGB".*?value="3.1"/);
    expect(html).toMatch(/data-value="thin" aria-pressed="true"/);
    expect(html).toMatch(
      /data-flag="tracking" aria-pressed="true">Tracking<span class="rig-soft"> (<!-- -->)?yes/,
    );
    expect(html).toMatch(
      /data-flag="focused" aria-pressed="false">In focus<span class="rig-soft"> (<!-- -->)?not said/,
    );
  });
});

describe("a report in words", () => {
  it("names every field of a rig's state with its value", () => {
    expect(reportWords({ cardFreeGB: 12.4, batteryPct: 80, recording: false, sky: "overcast" })).toBe(
      "Card space left: 12 GB · Camera battery: 80 % · Recording: no · Sky: overcast",
    );
  });

  it("shows tenths of a gigabyte only where they matter", () => {
    expect([0.04, 4.06, 9.96, 38.4].map((value) => factText("cardFreeGB", value))).toEqual([
      "0.0 GB",
      "4.1 GB",
      "10.0 GB",
      "38 GB",
    ]);
  });
});
