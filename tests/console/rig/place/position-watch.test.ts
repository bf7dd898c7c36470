/**
 * When a phone's owner is asked for its position, and what becomes of the answer. The browser is
 * played: its question, its permission, its receiver. Refusals are numbered as in the W3C
 * Geolocation standard (1 permission denied, 2 position unavailable, 3 timeout).
 */
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import type { Fix } from "../../../../console/rig/place/elsewhere.ts";
import type { OwnPlace } from "../../../../console/rig/place/own-place.ts";
import { type PositionPorts, PositionWatch } from "../../../../console/rig/place/position-watch.ts";
import { utcMs } from "../../../../shared/time/instants.ts";
import { PALM_FIELD, SiteWorld } from "../../../shared/run/site-world.ts";

const START = Date.UTC(2027, 7, 2, 6);
const MINUTE = 60_000;
const state = SiteWorld.planned().state;
const PRECISE = { accuracy: 20 };

/** A phone's browser: whoever is asked answers at once, unless the receiver takes its time. */
class FakePhone implements PositionPorts {
  kept = new Map<string, unknown>();
  clockMs = START;
  permitted: PermissionState | "not said" = "prompt";
  /** What the owner will press. */
  owner: "yes" | "no" | "later" = "yes";
  at: Pick<GeolocationCoordinates, "latitude" | "longitude" | "accuracy"> | "no signal" = {
    latitude: PALM_FIELD.latDeg,
    longitude: PALM_FIELD.lonDeg,
    ...PRECISE,
  };
  armed = true;
  visible = true;
  questions = 0;
  looks: PositionOptions[] = [];
  private listeners: (() => void)[] = [];
  private readonly started: PositionWatch[] = [];

  store = {
    get: async <Value>(key: string) => this.kept.get(key) as Value | undefined,
    set: async (key: string, value: unknown) => void this.kept.set(key, structuredClone(value)),
  };
  geolocation: PositionPorts["geolocation"] = {
    getCurrentPosition: (ok, fail, options) => {
      this.looks.push(options ?? {});
      const known = this.permitted === "granted" || (this.permitted === "not said" && this.answered);
      if (!known && this.permitted !== "denied") {
        this.questions += 1;
        if (this.owner === "later") return;
        this.answered = this.owner === "yes";
        if (this.permitted !== "not said") this.permitted = this.answered ? "granted" : "denied";
      }
      const may = this.permitted === "granted" || (this.permitted === "not said" && this.answered);
      if (!may) fail?.({ code: 1 } as GeolocationPositionError);
      else if (this.at === "no signal") fail?.({ code: 3 } as GeolocationPositionError);
      else ok({ coords: this.at as GeolocationCoordinates } as GeolocationPosition);
    },
  };
  /** In a browser that does not say: the owner's answer, for this visit. */
  answered = false;

  now = () => utcMs(this.clockMs);
  permission = async () => (this.permitted === "not said" ? null : this.permitted);
  wasArmed = () => this.armed;
  shown = () => this.visible;
  onShown = (listener: () => void) => {
    this.listeners.push(listener);
    return () => {
      this.listeners = this.listeners.filter((one) => one !== listener);
    };
  };

  async open(): Promise<PositionWatch> {
    const watch = new PositionWatch(this);
    this.started.push(watch);
    await vi.advanceTimersByTimeAsync(0);
    return watch;
  }
  async pass(ms: number): Promise<void> {
    for (let passed = 0; passed < ms; passed += 10_000) {
      this.clockMs += 10_000;
      await vi.advanceTimersByTimeAsync(10_000);
    }
  }
  async show(): Promise<void> {
    this.visible = true;
    for (const listener of this.listeners) listener();
    await vi.advanceTimersByTimeAsync(0);
  }
  moveNorth(km: number): void {
    if (this.at === "no signal") throw new Error("no position to move from");
    this.at = { ...this.at, latitude: PALM_FIELD.latDeg + km / 110.78 };
  }
  close(): void {
    for (const watch of this.started) watch.close();
  }
}

let phone: FakePhone;
beforeEach(() => {
  vi.useFakeTimers();
  phone = new FakePhone();
});
afterEach(() => {
  phone.close();
  vi.useRealTimers();
});
const word = (watch: PositionWatch, own: OwnPlace | null = null) => watch.read(state, own).word;

describe("the owner is asked", () => {
  it("at the arming tap, not before, and once", async () => {
    phone.armed = false;
    const watch = await phone.open();
    await phone.pass(30 * MINUTE);
    await phone.show();
    expect([phone.questions, phone.looks.length, word(watch)]).toEqual([0, 0, null]);
    phone.armed = true;
    await watch.ask();
    expect([phone.questions, word(watch)]).toEqual([1, "known"]);
    expect(watch.read(state, null).boundM).toBe(20);
    await watch.ask();
    expect(phone.questions).toBe(1);
  });

  it("who says no is not asked again, not by another tap nor after a reload, and nothing is in doubt", async () => {
    phone.owner = "no";
    const watch = await phone.open();
    await watch.ask();
    expect([phone.questions, word(watch)]).toEqual([1, "none"]);
    // Some browsers take a question that was put aside as a refusal, and would ask once more.
    phone.permitted = "prompt";
    phone.owner = "yes";
    await watch.ask();
    await phone.pass(30 * MINUTE);
    const again = await phone.open();
    await again.ask();
    await phone.show();
    expect([phone.questions, phone.looks.length, word(again)]).toEqual([1, 1, "none"]);
    // In the browser's own settings a mind can be changed.
    phone.permitted = "granted";
    await phone.pass(11 * MINUTE);
    expect(word(again)).toBe("known");
    expect(phone.questions).toBe(1);
  });

  it("whose yes was for one visit is asked again at the next arming, and by nothing else", async () => {
    const watch = await phone.open();
    await watch.ask();
    watch.close();
    phone.permitted = "prompt";
    phone.clockMs += 4 * 60 * MINUTE;
    const again = await phone.open();
    await phone.pass(30 * MINUTE);
    await phone.show();
    expect([phone.questions, word(again)]).toEqual([1, "none"]);
    await again.ask();
    expect([phone.questions, word(again)]).toEqual([2, "known"]);
  });

  it("where the browser does not say what is permitted, too, and then it looks only after a yes of this visit", async () => {
    phone.permitted = "not said";
    const watch = await phone.open();
    await phone.pass(15 * MINUTE);
    expect(phone.questions).toBe(0);
    await watch.ask();
    await phone.pass(25 * MINUTE);
    expect([phone.questions, phone.looks.length]).toEqual([1, 3]);
    watch.close();
    phone.answered = false;
    await phone.open();
    await phone.pass(25 * MINUTE);
    expect([phone.questions, phone.looks.length]).toEqual([1, 3]);
  });

  it("not at all on plain http, where nothing changes", async () => {
    phone.geolocation = null;
    const watch = await phone.open();
    await watch.ask();
    expect([phone.questions, word(watch)]).toEqual([0, "none"]);
    expect(phone.kept.size).toBe(0);
  });

  it("and does not answer: nothing stands still, and the question is not put twice at once", async () => {
    phone.owner = "later";
    const watch = await phone.open();
    await watch.ask();
    await watch.ask();
    expect([phone.questions, word(watch)]).toEqual([1, null]);
  });
});

describe("the position is looked at again", () => {
  it("every ten minutes while the page is shown, not older than a minute, and not while hidden", async () => {
    const watch = await phone.open();
    await watch.ask();
    await phone.pass(31 * MINUTE);
    expect(phone.looks.length).toBe(4);
    for (const look of phone.looks)
      expect(look).toMatchObject({ enableHighAccuracy: true, maximumAge: MINUTE });
    phone.visible = false;
    await phone.pass(60 * MINUTE);
    expect(phone.looks.length).toBe(4);
    await phone.show();
    expect(phone.looks.length).toBe(5);
  });

  it("every two minutes while it is away, so that coming back is soon known", async () => {
    const watch = await phone.open();
    await watch.ask();
    phone.moveNorth(12);
    await phone.show();
    expect(word(watch)).toBe("away");
    expect(watch.read(state, null).awayM).toBeCloseTo(12_000, -2);
    phone.moveNorth(0.5);
    for (let look = 0; look < 13 && word(watch) === "away"; look += 1) await phone.pass(10_000);
    expect(word(watch)).toBe("known");
    expect(phone.clockMs - START).toBeLessThanOrEqual(150_000);
  });

  it("after a reload by itself, and what was known stands meanwhile for three hours", async () => {
    const watch = await phone.open();
    phone.moveNorth(12);
    await watch.ask();
    watch.close();
    phone.at = "no signal";
    const again = await phone.open();
    expect([phone.looks.length, word(again)]).toEqual([2, "away"]);
    await phone.pass(2 * 60 * MINUTE + 58 * MINUTE);
    expect(word(again)).toBe("away");
    await phone.pass(3 * MINUTE);
    expect(word(again)).toBe("none");
  });

  it("at once when its first look was dated by a phone's wrong date", async () => {
    phone.clockMs = START + 40 * 86_400_000;
    const watch = await phone.open();
    await watch.ask();
    phone.clockMs = START;
    expect(word(watch)).toBe("none");
    await phone.pass(MINUTE);
    expect(word(watch)).toBe("known");
  });
});

describe("a position", () => {
  it("known too badly leaves the one before", async () => {
    const watch = await phone.open();
    phone.moveNorth(12);
    await watch.ask();
    phone.at = { latitude: PALM_FIELD.latDeg, longitude: PALM_FIELD.lonDeg, accuracy: 30_000 };
    await phone.show();
    expect(phone.looks.length).toBe(2);
    expect(watch.read(state, null)).toMatchObject({ word: "away", boundM: 20 });
  });

  it("is of another page of this phone, too, when this one is shown", async () => {
    const watch = await phone.open();
    await watch.ask();
    phone.visible = false;
    const elsewhere: Fix = { latDeg: 20, lonDeg: 32, boundM: 10, atUtcMs: utcMs(phone.clockMs + 1000) };
    phone.kept.set("position", { fix: elsewhere, answer: "given" });
    phone.permitted = "prompt";
    phone.clockMs += 2000;
    await phone.show();
    expect(word(watch)).toBe("away");
  });

  it("asked for by hand counts as well, also of one who had said no", async () => {
    phone.owner = "no";
    const watch = await phone.open();
    await watch.ask();
    watch.note({
      latitude: PALM_FIELD.latDeg,
      longitude: PALM_FIELD.lonDeg,
      ...PRECISE,
    } as GeolocationCoordinates);
    expect(word(watch)).toBe("known");
  });

  it("is measured from the phone's own place, where that stands", async () => {
    const watch = await phone.open();
    phone.moveNorth(12);
    await watch.ask();
    const { latitude = 0, longitude = 0 } = phone.at === "no signal" ? {} : phone.at;
    expect(word(watch)).toBe("away");
    expect(word(watch, { latDeg: latitude, lonDeg: longitude, boundM: 20 } as OwnPlace)).toBe("known");
  });

  it("is nothing against a plan without a place", async () => {
    const watch = await phone.open();
    await watch.ask();
    expect(watch.read(null, null)).toMatchObject({ word: "known", awayM: 0 });
  });

  it("that the phone's storage will not keep is known until the page goes", async () => {
    phone.store = {
      get: () => Promise.reject(new Error("no storage")),
      set: () => Promise.reject(new Error("no storage")),
    };
    const watch = await phone.open();
    await watch.ask();
    expect(word(watch)).toBe("known");
  });
});
