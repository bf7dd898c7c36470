/** What boards are told is numbered, dated and signed; the key is the site's, over restarts and copies. */
import { createPublicKey, verify } from "node:crypto";
import { beforeEach, describe, expect, it } from "vitest";
import { BoardSeal } from "../../../hub/feeds/board-seal.ts";
import { boardSnapshot } from "../../../hub/feeds/board-snapshot.ts";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { type BoardDocument, readDocument, splitSigned } from "../../../shared/protocol/board-document.ts";
import { GOOD_CLOCK } from "../../../shared/run/doubt.ts";
import { runMs, type UtcMs, utcMs } from "../../../shared/time/instants.ts";
import { SiteWorld } from "../../shared/run/site-world.ts";

const START = Date.UTC(2027, 6, 25);
const SNAPSHOT = boardSnapshot(SiteWorld.planned().state, utcMs(START), GOOD_CLOCK);

describe("the seal of the board", () => {
  let now: UtcMs;
  let slow: number;
  let shiftMs: number;
  const sealOf = (log = new MemoryLog()) =>
    new BoardSeal(log, {
      now: () => now,
      course: () => ({ epoch: "test", shiftMs }),
      slow: () => slow,
      embed: () => [],
    });
  beforeEach(() => {
    now = utcMs(START);
    slow = 1;
    shiftMs = 0;
  });

  it("has the public key that RFC 8032 gives for its secret one", () => {
    // RFC 8032, section 7.1, TEST 1.
    const log = new MemoryLog();
    const hex = (text: string) => Buffer.from(text, "hex").toString("base64url");
    log.setSetting("boardKey", hex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60"));
    expect(sealOf(log).key).toBe(hex("d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a"));
  });

  it("signs the very bytes that go out, and its documents are read back", () => {
    const seal = sealOf();
    const document = seal.seal(SNAPSHOT);
    const text = JSON.stringify(document);
    const parts = splitSigned(text) ?? { signed: "", signature: "" };
    const key = createPublicKey({ key: { kty: "OKP", crv: "Ed25519", x: seal.key }, format: "jwk" });
    expect(verify(null, Buffer.from(parts.signed), key, Buffer.from(parts.signature, "base64url"))).toBe(
      true,
    );
    expect(readDocument(text)).toEqual(document);
    expect(text.length).toBeLessThan(2500);
    for (const spoilt of [
      "",
      "null",
      '{"signature":"x"}',
      text.slice(0, -1),
      `${text} `,
      text.replace('"zone":"', '"zone":1,"z":"'),
    ])
      expect(readDocument(spoilt)).toBeNull();
  });

  it("says by how much its clock has been set back in all, and takes a sleep or a correction forward for none", () => {
    const seal = sealOf();
    const backMs = [0, 5000, 4000, 3_600_000, 3_590_000].map((ms) => {
      shiftMs = ms;
      now = utcMs(now + 60_000);
      return seal.seal(SNAPSHOT).clock.backMs;
    });
    expect(backMs).toEqual([0, 0, 1000, 1000, 11_000]);
  });

  it("says the same until something changes or half a minute has passed", () => {
    const seal = sealOf();
    const first = seal.seal(SNAPSHOT);
    now = utcMs(START + 29_000);
    expect(seal.seal({ ...SNAPSHOT })).toBe(first);
    const covered = seal.seal({ ...SNAPSHOT, cover: true });
    expect(covered.number).toBeGreaterThan(first.number);
    now = utcMs(START + 60_000);
    const again = seal.seal({ ...SNAPSHOT, cover: true });
    expect(again.number).toBeGreaterThan(covered.number);
    expect(again.validUntilUtcMs).toBe(START + 150_000);
    slow = 2;
    expect(seal.seal({ ...SNAPSHOT, cover: true })).toMatchObject({ slow: 2 });
  });

  it("S13: is good for twelve seconds only while glasses may be off, and said again every four, however slow boards are asked to be", () => {
    slow = 4;
    const called = sealOf().seal({ ...SNAPSHOT, calledTotalityMs: runMs(START) });
    expect(called).toMatchObject({ validUntilUtcMs: START + 12_000, nextUtcMs: START + 4000 });
  });

  it("keeps key and order over a restart, and over a clock that was set back", () => {
    const log = new MemoryLog();
    const before: BoardDocument[] = [];
    const seal = sealOf(log);
    for (let n = 0; n < 5; n++) before.push(seal.seal({ ...SNAPSHOT, revision: n }));
    now = utcMs(START - 3_600_000);
    const after = sealOf(log);
    expect(after.key).toBe(seal.key);
    expect(after.seal(SNAPSHOT).number).toBeGreaterThan(before.at(-1)?.number ?? Number.POSITIVE_INFINITY);
  });

  it("goes on numbering where the disk takes nothing", () => {
    const log = new MemoryLog();
    const seal = sealOf(log);
    log.setSetting = () => {
      throw new Error("full");
    };
    now = utcMs(START + 600_000);
    const first = seal.seal(SNAPSHOT);
    expect(seal.seal({ ...SNAPSHOT, revision: 9 }).number).toBe(first.number + 1);
  });
});
