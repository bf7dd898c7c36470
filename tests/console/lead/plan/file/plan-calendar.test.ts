/** The calendar of a plan, read by another library (ical.js) against RFC 5545. */
import ICAL from "ical.js";
import { describe, expect, it } from "vitest";
import "../../../../../console/words/bundles/plan.ts";
import { planCalendar } from "../../../../../console/lead/plan/file/plan-calendar.ts";
import { defaultCues } from "../../../../../shared/plan/defaults/default-cues.ts";
import { planOf, rigOf, totalSite } from "../../../../shared/plan/sites-and-rigs.ts";

const gets = totalSite(180);
const west = rigOf("tracked-telescope", { id: "west", name: "West; pier, 1", operator: "Ann" });
const plan = { ...planOf({ ...west, cues: defaultCues(west, gets) }), eclipse: "2027-08-02", revision: 7 };
const NOW = Date.UTC(2027, 0, 1);

const eventsOf = (text: string) =>
  new ICAL.Component(ICAL.parse(text)).getAllSubcomponents("vevent").map((one) => new ICAL.Event(one));

describe("the plan's calendar", () => {
  it("holds every contact at its second, in UTC", () => {
    const events = eventsOf(planCalendar(plan, gets.contacts, NOW));
    const c2 = events.find(({ uid }) => uid.includes("contact-C2"));
    expect(c2?.startDate.zone.tzid).toBe("UTC");
    expect(c2?.startDate.toUnixTime()).toBe(Math.floor((gets.contacts.c2 ?? 0) / 1000));
    expect(events.filter(({ uid }) => uid.includes("contact-"))).toHaveLength(5);
  });

  it("holds the cues that are to be confirmed and no others, with the words of the cue", () => {
    const events = eventsOf(planCalendar(plan, gets.contacts, NOW)).filter(({ uid }) =>
      uid.includes("west-"),
    );
    const asked = plan.rigs.flatMap(({ cues }) => cues.filter(({ confirm, on }) => confirm && on));
    const ids = new Set(events.map(({ uid }) => uid.replace(/^2027-08-02-west-(.+)-\d+@.*$/, "$1")));
    expect([...ids].sort()).toEqual(asked.map(({ id }) => id).sort());
    // A name with what RFC 5545, 3.3.11 escapes comes back whole.
    expect(events.every(({ summary }) => summary.startsWith("West; pier, 1: "))).toBe(true);
  });

  it("names the operator, and what a cue takes besides them", () => {
    const cues = plan.rigs.flatMap((rig) =>
      rig.cues.map((cue) =>
        cue.id === "filter-off" ? { ...cue, people: 2 as const, tool: "Hex key" } : cue,
      ),
    );
    const helped = { ...plan, rigs: plan.rigs.map((rig) => ({ ...rig, cues })) };
    const said = (part: string) =>
      eventsOf(planCalendar(helped, gets.contacts, NOW)).find(({ uid }) => uid.includes(part))?.description;
    expect(said("filter-off")).toBe("Ann\ntwo people · tool: Hex key");
    expect(said("filter-on")).toBe("Ann");
  });

  it("keeps its UIDs and counts SEQUENCE up with the revision (RFC 5545, 3.8.7.4)", () => {
    const before = eventsOf(planCalendar(plan, gets.contacts, NOW));
    const later = eventsOf(planCalendar({ ...plan, revision: 8 }, gets.contacts, NOW + 1000));
    expect(later.map(({ uid }) => uid)).toEqual(before.map(({ uid }) => uid));
    expect(new Set(before.map(({ uid }) => uid)).size).toBe(before.length);
    expect([before[0]?.sequence, later[0]?.sequence]).toEqual([7, 8]);
  });
});
