/**
 * Several devices beside one rig may be the same instrument: two mounts, a wheel and another one inside the
 * camera. Each keeps its own word, and what the rig's instrument says is made of all: where they differ, the
 * more dangerous reading (S9), else whichever comes first by name. Pure but for its state.
 */
import type { Instrument } from "../../shared/run/facts/instrument-fields.ts";
import type { Saying } from "./source.ts";

const SLOT_MOST = 60;
/** Devices kept, those that spoke last. */
const DEVICES_MOST = 100;

export class Voices {
  private readonly byInstrument = new Map<Instrument, Map<string, Saying>>();
  /** The last word of each device on a filter; kept when it goes, so that coming back is no news. */
  private readonly onFilter = new Map<string, Saying["filter"]>();

  /** What the instrument says now that this device has said so. */
  hear(instrument: Instrument, saying: Saying, device: string): Saying {
    const known = this.byInstrument.get(instrument) ?? new Map<string, Saying>();
    this.byInstrument.set(instrument, known);
    const word = { ...known.get(device), ...saying };
    known.delete(device);
    for (const silent of known.keys()) if (known.size >= DEVICES_MOST) known.delete(silent);
    return together(known.set(device, word));
  }

  /**
   * Whether this device now says that nothing is in the light, and did not before. What is made of all may
   * have been so already: another wheel stands at an empty slot all day, and somebody has looked since (S9).
   */
  opens({ filter }: Saying, device: string): boolean {
    if (filter === undefined) return false;
    const before = this.onFilter.get(device);
    if (this.onFilter.has(device) || this.onFilter.size < DEVICES_MOST) this.onFilter.set(device, filter);
    return filter === "off" && before !== "off";
  }

  /** A device that is not there, or not connected, any more says nothing against the others. */
  forget(device: string): { instrument: Instrument; saying: Saying }[] {
    return [...this.byInstrument].flatMap(([instrument, known]) =>
      known.delete(device) && known.size > 0 ? [{ instrument, saying: together(known) }] : [],
    );
  }
}

const MOUNT = ["stopped", "slewing", "parked", "tracking"] as const;
const COVER = ["open", "moving", "closed"] as const;

function together(known: ReadonlyMap<string, Saying>): Saying {
  const voices = [...known].sort(([a], [b]) => (a < b ? -1 : 1));
  if (voices.length === 1) return { ...voices[0]?.[1] };
  const say = <Field extends keyof Saying>(field: Field): NonNullable<Saying[Field]>[] =>
    voices.flatMap(([, saying]) =>
      saying[field] == null ? [] : [saying[field] as NonNullable<Saying[Field]>],
    );
  const worst = <Word>(order: readonly Word[], said: readonly Word[]): Word | undefined =>
    order.find((word) => said.includes(word));
  const first: Saying = Object.assign({}, ...voices.map(([, saying]) => saying).reverse());
  const [tracking, exposing, recording, filter] = [
    say("tracking"),
    say("exposing"),
    say("recording"),
    say("filter"),
  ];
  const [mount, cover] = [worst(MOUNT, say("mount")), worst(COVER, say("cover"))];
  return {
    ...first,
    ...(tracking.length > 0 && { tracking: tracking.every(Boolean) }),
    ...(exposing.length > 0 && { exposing: exposing.some(Boolean) }),
    ...(recording.length > 0 && { recording: recording.some(Boolean) }),
    ...(filter.length > 0 && { filter: filter.includes("off") ? "off" : "unknown" }),
    ...(mount && { mount }),
    ...(cover && { cover }),
    ...(first.wheelSlot !== undefined && { wheelSlot: slots(voices) }),
  };
}

function slots(voices: readonly [string, Saying][]): string {
  const named = voices.filter(([, { wheelSlot }]) => wheelSlot);
  if (named.length === 1) return named[0]?.[1].wheelSlot ?? "";
  // With little room each gets its share: which wheel, and where it stands.
  const each = Math.floor((SLOT_MOST - 2 * (named.length - 1)) / Math.max(1, named.length));
  return named
    .map(([device, { wheelSlot = "" }]) => {
      const slot = wheelSlot.slice(0, Math.max(4, each - 8));
      return `${nameOf(device).slice(0, Math.max(3, each - slot.length - 2))}: ${slot}`;
    })
    .join(", ")
    .slice(0, SLOT_MOST);
}

/** "Wheel @192.168.1.5:7624" is read as "Wheel". */
function nameOf(device: string): string {
  return device.replace(/ @\S*$/, "");
}
