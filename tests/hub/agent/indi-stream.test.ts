/**
 * An INDI server's bytes, in pieces. WHEEL is what Debian's indiserver 1.9.9 sent of its simulated wheel
 * (recorded, labels left out): the slot comes before the names of slots, values stand among blanks, and a turn
 * is Busy at the old slot until it is Ok at the new one.
 */
import { describe, expect, test } from "vitest";
import { type IndiVector, readIndi } from "../../../hub/agent/sources/indi-reading.ts";
import { IndiStream } from "../../../hub/agent/sources/indi-stream.ts";

const connection = (on: boolean, verb = "def") => `
<${verb}SwitchVector device="Filter Simulator" name="CONNECTION" state="${on ? "Ok" : "Idle"}" timeout="60">
    <${verb === "def" ? "def" : "one"}Switch name="CONNECT">
${on ? "On" : "Off"}
    </${verb === "def" ? "def" : "one"}Switch>
</${verb}SwitchVector>`;
const slot = (state: string, value: number) => `
<setNumberVector device="Filter Simulator" name="FILTER_SLOT" state="${state}" timeout="60">
    <oneNumber name="FILTER_SLOT_VALUE">
      ${value}
    </oneNumber>
</setNumberVector>`;
const NAMES = ["Red", "Grün &amp; klar", "Open"];
const WHEEL = [
  connection(false),
  `<defTextVector device="Filter Simulator" name="DRIVER_INFO" state="Idle" perm="ro"><defText name="DRIVER_NAME">Filter Simulator</defText></defTextVector>`,
  connection(true, "set"),
  `
<defNumberVector device="Filter Simulator" name="FILTER_SLOT" label="Filter Slot" group="Filter Wheel" state="Idle" perm="rw" timeout="60">
    <defNumber name="FILTER_SLOT_VALUE" label="Filter" format="%3.0f" min="1" max="8" step="1">
1
    </defNumber>
</defNumberVector>`,
  `
<defTextVector device="Filter Simulator" name="FILTER_NAME" state="Idle" perm="rw" timeout="0">
${NAMES.map((name, at) => `    <defText name="FILTER_SLOT_NAME_${at + 1}">\n${name}\n    </defText>`).join("\n")}
</defTextVector>`,
  `<message device="Filter Simulator" message="[INFO] Setting current filter to slot 2"/>`,
  slot("Busy", 1),
  slot("Ok", 2),
].join("");

function world() {
  const vectors = new Map<string, IndiVector>();
  const taken: string[] = [];
  const stream = new IndiStream({
    take(vector) {
      const members = new Map([...(vectors.get(vector.name)?.members ?? []), ...vector.members]);
      vectors.set(vector.name, { ...vector, members });
      taken.push(`${vector.name} ${vector.state} ${[...vector.members.values()].join(",")}`);
    },
    drop: (_device, name) => void vectors.delete(name),
  });
  return {
    stream,
    taken,
    wheel: () =>
      readIndi([...vectors.values()])
        .get("Filter Simulator")
        ?.get("wheel"),
  };
}

test("a stream cut in two at any byte, and one that comes byte by byte, reads as it does whole", () => {
  const bytes = Buffer.from(WHEEL);
  const whole = world();
  expect(whole.stream.write(bytes, 0)).toBeNull();
  expect(whole.wheel()).toEqual({ wheelSlot: "Grün & klar", filter: "unknown" });
  expect(whole.taken).toEqual([
    "CONNECTION Idle Off",
    "CONNECTION Ok On",
    "FILTER_SLOT Idle 1",
    "FILTER_NAME Idle Red,Grün & klar,Open",
    "FILTER_SLOT Busy 1",
    "FILTER_SLOT Ok 2",
  ]);
  for (let cut = 1; cut < bytes.length; cut++) {
    const { stream, taken } = world();
    expect(stream.write(bytes.subarray(0, cut), 0)).toBeNull();
    expect(stream.write(bytes.subarray(cut), 0)).toBeNull();
    expect(taken).toEqual(whole.taken);
  }
  const slow = world();
  for (const byte of bytes) slow.stream.write(Buffer.from([byte]), 0);
  expect(slow.taken).toEqual(whole.taken);
});

test("a wheel says a slot's number until its names come, nothing while it turns or has failed, and off once it is open", () => {
  const { stream, wheel } = world();
  const say = (text: string) => expect(stream.write(Buffer.from(text), 0)).toBeNull();
  const [begin, names] = [WHEEL.slice(0, WHEEL.indexOf("\n<defTextVector")), WHEEL];
  say(begin);
  expect(wheel()).toEqual({ wheelSlot: "slot 1", filter: "unknown" });
  say(names.slice(begin.length));
  say(slot("Busy", 3));
  expect(wheel()).toEqual({});
  say(slot("Alert", 3));
  expect(wheel()).toEqual({});
  say(slot("Ok", 3));
  expect(wheel()).toEqual({ wheelSlot: "Open", filter: "off" });
  say(connection(false, "set"));
  expect(wheel()).toBeUndefined();
});

describe("what is no INDI", () => {
  const vector = (inner: string) => `<defTextVector device="x" name="FILTER_NAME">${inner}</defTextVector>`;
  const heapMB = () => process.memoryUsage().heapUsed / 1e6;

  test.each([
    ["another protocol", "HTTP/1.1 400 Bad Request\r\n\r\n<html><<", "says what is no INDI"],
    ["elements ever deeper", "<a>".repeat(1000), "says what is no INDI"],
    [
      // Billion laughs: https://en.wikipedia.org/wiki/Billion_laughs_attack
      "entities that multiply",
      `<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]>${vector("<defText name='n'>&b;</defText>")}`,
      "says what is no INDI",
    ],
    [
      "an attribute without end",
      `<defTextVector device="${"x".repeat(1_100_000)}`,
      "sends an element without end",
    ],
    ["a comment without end", `<!-- ${"x".repeat(1_100_000)}`, "sends an element without end"],
  ])("%s is one sentence, and nothing more is taken", (_what, text, why) => {
    const { stream, taken } = world();
    expect(stream.write(Buffer.from(text), 0)).toBe(why);
    expect(stream.write(Buffer.from(WHEEL), 0)).toBe(why);
    expect(taken).toEqual([]);
  });

  test("some well-formed garbage is borne, with nothing kept of it; a megabyte a second is a flood", () => {
    const { stream, taken } = world();
    const garbage = (n: number) =>
      Buffer.from(
        vector(`<defText name="n${n}">${"x".repeat(100)}</defText>`).replace("FILTER_NAME", `N${n}`),
      );
    const each = garbage(0).length;
    const before = heapMB();
    let n = 0;
    for (let sent = 0; sent < 8e6; n++, sent += each)
      expect(stream.write(garbage(n), (sent / 0.4e6) * 1000)).toBeNull();
    expect(taken).toEqual([]);
    // Most of it is waiting to be collected.
    expect(heapMB() - before).toBeLessThan(100);
    let why: string | null = null;
    for (let sent = 0; sent < 5e6 && !why; n++, sent += each)
      why = stream.write(garbage(n), 30_000 + (sent / 1e6) * 1000);
    expect(why).toBe("sends more than any INDI server");
  });

  test("of a property with endless members the first are kept, and of a value its begin", () => {
    const { stream, wheel } = world();
    const members = Array.from(
      { length: 1000 },
      (_, n) => `<defText name="FILTER_SLOT_NAME_${n}">${"y".repeat(5000)}</defText>`,
    );
    stream.write(Buffer.from(`${connection(true)}${slot("Ok", 7)}`), 0);
    const names = `<defTextVector device="Filter Simulator" name="FILTER_NAME" state="Ok">${members.join("")}</defTextVector>`;
    for (let at = 0; at < names.length; at += 10_000)
      expect(stream.write(Buffer.from(names.slice(at, at + 10_000)), at)).toBeNull();
    expect(wheel()).toEqual({ wheelSlot: "y".repeat(60), filter: "unknown" });
  });
});
