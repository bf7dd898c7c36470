/** Who may do what: PIN, sessions, links. */
import { createHash } from "node:crypto";
import { describe, expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { Keys, newPin } from "../../../hub/site/keys.ts";

/** Everything the log keeps as settings, as text. */
function kept(log: MemoryLog): string {
  return JSON.stringify(["leadPin", "local:leadSessions", "siteSecret"].map((key) => log.getSetting(key)));
}

describe("the lead's PIN", () => {
  it("is kept hashed, salted anew each time", async () => {
    const log = new MemoryLog();
    const keys = new Keys(log);
    expect(keys.hasPin()).toBe(false);
    expect(await keys.checkPin("")).toBe(false);
    keys.setPin("271828");
    const first = kept(log);
    expect(first).not.toContain("271828");
    expect(await keys.checkPin("271828")).toBe(true);
    expect(await keys.checkPin("271829")).toBe(false);
    keys.setPin("271828");
    expect(kept(log)).not.toBe(first);
  });

  it("is made of six digits", () => {
    for (let n = 0; n < 50; n++) expect(newPin()).toMatch(/^\d{6}$/);
  });
});

describe("a lead's session", () => {
  it("outlives a restart, is kept as a hash only, and ends when closed", () => {
    const log = new MemoryLog();
    const token = new Keys(log).openSession("Ada", 1000);
    expect(kept(log)).not.toContain(token);
    const later = new Keys(log);
    expect(later.session(token)).toMatchObject({ name: "Ada", sinceUtcMs: 1000 });
    expect(later.session(`${token}x`)).toBeUndefined();
    expect(later.session(undefined)).toBeUndefined();
    later.closeSession(token);
    expect(later.session(token)).toBeUndefined();
  });

  it("of very many the one used longest ago ends, also after a restart, and none that is at work", () => {
    const log = new MemoryLog();
    const keys = new Keys(log);
    const tokens = Array.from({ length: 200 }, (_, n) => keys.openSession("lead", n));
    const [first, second, third, fourth, fifth] = tokens;
    // The first lead goes on working while others sign in again and again.
    expect(keys.session(first)).toBeDefined();
    keys.openSession("another", 300);
    expect(keys.session(second)).toBeUndefined();
    expect(keys.session(first)).toBeDefined();
    // The third has nothing to say but its console open.
    const hashOfThird = createHash("sha256").update(String(third)).digest("base64url");
    keys.openSession("another", 301, (hash) => hash === hashOfThird);
    const again = new Keys(log);
    again.openSession("another", 302, (hash) => hash === hashOfThird);
    for (const gone of [fourth, fifth]) expect(again.session(gone)).toBeUndefined();
    for (const kept of [first, third, tokens[5], tokens[199]]) expect(again.session(kept)).toBeDefined();
    const all = new Keys(log);
    for (let n = 0; n < 300; n++) all.openSession("another", n, () => true);
    expect(all.session(first)).toBeDefined();
  });
});

describe("a rig's link", () => {
  it("is its own: for this site, this rig, this generation", () => {
    const log = new MemoryLog();
    const keys = new Keys(log);
    const token = keys.rigToken("west", 0);
    expect(new Keys(log).checkRigToken("west", token, 0)).toEqual({ ok: true, revoked: false });
    expect(keys.checkRigToken("wide", token, 0)).toEqual({ ok: false });
    expect(keys.checkRigToken("west", token.slice(1), 0)).toEqual({ ok: false });
    expect(keys.checkRigToken("west", "", 0)).toEqual({ ok: false });
    expect(new Keys(new MemoryLog()).checkRigToken("west", token, 0)).toEqual({ ok: false });
  });

  it("is known as revoked once the generation has risen, and never before its own", () => {
    const keys = new Keys(new MemoryLog());
    expect(keys.checkRigToken("west", keys.rigToken("west", 0), 3)).toEqual({ ok: true, revoked: true });
    expect(keys.checkRigToken("west", keys.rigToken("west", 4), 3)).toEqual({ ok: false });
  });
});
