/** Who may do what: PIN, sessions, links. */
import { describe, expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { Keys, newPin } from "../../../hub/room/keys.ts";

/** Everything the log keeps as settings, as text. */
function kept(log: MemoryLog): string {
  return JSON.stringify(["leadPin", "local:leadSessions", "siteSecret"].map((key) => log.getSetting(key)));
}

describe("the lead's PIN", () => {
  it("is kept hashed, salted anew each time", () => {
    const log = new MemoryLog();
    const keys = new Keys(log);
    expect(keys.hasPin()).toBe(false);
    expect(keys.checkPin("")).toBe(false);
    keys.setPin("271828");
    const first = kept(log);
    expect(first).not.toContain("271828");
    expect(keys.checkPin("271828")).toBe(true);
    expect(keys.checkPin("271829")).toBe(false);
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

  it("of very many the oldest ends", () => {
    const keys = new Keys(new MemoryLog());
    const tokens = Array.from({ length: 52 }, (_, n) => keys.openSession("lead", n));
    expect(keys.session(tokens[1])).toBeUndefined();
    expect(keys.session(tokens[2])).toBeDefined();
    expect(keys.session(tokens[51])).toBeDefined();
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
