/**
 * What a rig's filter is, from what its devices said (S9). Each device's newest word counts.
 * Where the words of two devices disagree, `off` holds until somebody reports having looked:
 * a report with `looked` sets aside every word older than itself. A device may correct itself:
 * among its own words the one it numbered last is the newest, even if its clock went back.
 */
import { ownValue } from "../../fields/own-key.ts";
import type { FilterWord } from "../vocabulary.ts";
import { compareStamps, newer, type Register } from "./registers.ts";

export type FilterState = FilterWord | "none by design";

export interface FilterWords {
  /** Newest word of each device. */
  byDevice: Readonly<Record<string, Register<FilterWord>>>;
  /** Newest word of somebody who looked. */
  looked: Register<FilterWord> | null;
}

export const NO_FILTER_WORDS: FilterWords = { byDevice: {}, looked: null };

export interface FilterVerdict {
  state: FilterWord;
  /** The word that decided, null when nobody has spoken. */
  word: Register<FilterWord> | null;
  /** Words of other devices that say otherwise: everybody on the rig is told. */
  disputedBy: Register<FilterWord>[];
}

/** Takes one word in. */
export function addFilterWord(words: FilterWords, word: Register<FilterWord>, looked: boolean): FilterWords {
  return {
    byDevice: {
      ...words.byDevice,
      [word.deviceId]: newerOfDevice(ownValue(words.byDevice, word.deviceId), word),
    },
    looked: looked ? newer(words.looked ?? undefined, word, "off") : words.looked,
  };
}

/** The words of two records (of the real run and a practice, say) taken together. */
export function mergeFilterWords(a: FilterWords, b: FilterWords): FilterWords {
  let merged = a;
  for (const word of Object.values(b.byDevice)) merged = addFilterWord(merged, word, false);
  if (b.looked) merged = addFilterWord(merged, b.looked, true);
  return merged;
}

/** Decides by S9; `silent`: devices whose words do not count. */
export function filterVerdict(
  { byDevice, looked }: FilterWords,
  silent: (deviceId: string) => boolean = () => false,
): FilterVerdict {
  const standing = Object.values(byDevice)
    .filter((word) => !silent(word.deviceId) && (!looked || compareWords(word, looked) >= 0))
    .sort(compareStamps);
  const last = standing.at(-1);
  if (!last) return { state: "unknown", word: null, disputedBy: [] };
  const off = standing.filter((word) => word.value === "off").at(-1);
  const word = off ?? last;
  return {
    state: word.value,
    word,
    disputedBy: standing.filter((other) => other.value !== word.value && disagrees(other, word)),
  };
}

function newerOfDevice(
  current: Register<FilterWord> | undefined,
  word: Register<FilterWord>,
): Register<FilterWord> {
  if (!current || current.deviceSeq === word.deviceSeq) return newer(current, word, "off");
  return current.deviceSeq > word.deviceSeq ? current : word;
}

/** By the device's own numbering where there is one, else by when it was observed: of one instant neither is older. */
function compareWords(a: Register<FilterWord>, b: Register<FilterWord>): number {
  if (a.deviceId !== b.deviceId) return a.observedUtcMs - b.observedUtcMs;
  return a.deviceSeq === b.deviceSeq ? compareStamps(a, b) : a.deviceSeq - b.deviceSeq;
}

/** An older word that a newer one merely replaced is no dispute, unless `off` is what holds. */
function disagrees(other: Register<FilterWord>, verdict: Register<FilterWord>): boolean {
  return compareStamps(other, verdict) > 0;
}
