/**
 * Coordinates as people paste them, to degrees. Written forms: decimal with point or comma;
 * degrees, minutes, seconds with ° ′ ″ and their look-alikes, letters (d m s), colons or spaces;
 * N S E W (also O for Oeste/Ouest, words in English, Spanish, French and Arabic) before or after;
 * "lat, lon" with signs; labelled values; ISO 6709 (±DD.D±DDD.D, ±DDMM±DDDMM,
 * ±DDMMSS±DDDMMSS, with height); geo: URIs (RFC 5870); DDMMSSN DDDMMSSE as in aviation.
 *
 * North and east positive, WGS84. Anything that can be read in two ways is refused: a wrong
 * hemisphere or a decimal taken for minutes would move a site by kilometres unnoticed. A bare
 * "O" is west; "Ost" is east.
 *
 * Why our own: geo-coordinates-parser 1.7.4 was tried first. It reads "-0.25, 10.5" as
 * 0.41667, 10.08333 and "-0° 15′ 30″" as north, takes "24.56S" for 24° 56′, and fails on
 * "40, -3", on O for west, on longitude first and on heights.
 */
import { rangeOf } from "../fields/number.ts";
import { coordinatesText, heightM as heightField, latDeg, lonDeg } from "../fields/place.ts";
import { lengthOf } from "../fields/text.ts";
import { type Token, tokens } from "./coordinate-tokens.ts";

export interface ParsedPlace {
  /** −90…90. */
  latDeg: number;
  /** −180…180, east positive. */
  lonDeg: number;
  /** Metres, −430…9000; absent when the text has none. */
  heightM?: number;
}

export interface CoordinateRefusal {
  /** Message key `coordinates.<code>`. */
  code: "empty" | "not-coordinates" | "ambiguous" | "missing" | "out-of-range";
  field: "latDeg" | "lonDeg" | "heightM" | "coordinates";
  /** English. */
  message: string;
}

export type ParsedCoordinates = { place: ParsedPlace } | { refusal: CoordinateRefusal };

type Axis = "lat" | "lon";
interface Group {
  axis: Axis | null;
  /** +1, −1, or null when nothing says. */
  side: 1 | -1 | null;
  signed: boolean;
  numbers: Array<Extract<Token, { kind: "number" }>>;
}

const FIELD = { lat: "latDeg", lon: "lonDeg" } as const;
const NAME = { lat: "latitude", lon: "longitude" } as const;
const MOST_DEG = { lat: rangeOf(latDeg).most, lon: rangeOf(lonDeg).most } as const;
const HEIGHT_M = rangeOf(heightField);
const TEXT_MOST = lengthOf(coordinatesText);

class Refused extends Error {
  constructor(readonly refusal: CoordinateRefusal) {
    super(refusal.message);
  }
}
const refuse = (code: CoordinateRefusal["code"], field: CoordinateRefusal["field"], message: string) =>
  new Refused({ code, field, message });

/** Reads one place from a pasted text. Never throws for bad input: it says what is wrong. */
export function parseCoordinates(text: string): ParsedCoordinates {
  try {
    return { place: parse(text) };
  } catch (error) {
    if (error instanceof Refused) return { refusal: error.refusal };
    throw error;
  }
}

function parse(text: string): ParsedPlace {
  if (text.trim() === "") throw refuse("empty", "coordinates", "Give a latitude and a longitude.");
  const read = text.length > TEXT_MOST ? null : tokens(text);
  if (read === null)
    throw refuse(
      "not-coordinates",
      "coordinates",
      "This does not read as coordinates; write for example 40.4168, -3.7038 or 40° 25′ 00″ N 3° 42′ 14″ W.",
    );
  if (read === "comma")
    throw refuse(
      "ambiguous",
      "coordinates",
      "One comma between two numbers can be a decimal comma or a separator; put a space after the separator.",
    );
  const groups = split(read.tokens);
  const [first, second] = groups.map(readGroup);
  if (first === undefined) throw notTwo();
  if (second === undefined)
    throw refuse(
      "missing",
      FIELD[other(first.axis ?? "lat")],
      `The ${NAME[other(first.axis ?? "lat")]} is missing.`,
    );

  const firstAxis = first.axis ?? (second.axis === null ? "lat" : other(second.axis));
  const secondAxis = second.axis ?? other(firstAxis);
  if (firstAxis === secondAxis)
    throw refuse("ambiguous", FIELD[firstAxis], `The ${NAME[firstAxis]} is given twice.`);
  const values = { [firstAxis]: degrees(first, firstAxis), [secondAxis]: degrees(second, secondAxis) };
  checkSides(first, firstAxis, second);
  checkSides(second, secondAxis, first);
  const { heightM } = read;
  if (heightM !== null && (heightM < HEIGHT_M.least || heightM > HEIGHT_M.most))
    throw refuse(
      "out-of-range",
      "heightM",
      `The height must be between −${-HEIGHT_M.least} and ${HEIGHT_M.most} m.`,
    );
  return {
    latDeg: values.lat ?? Number.NaN,
    lonDeg: values.lon ?? Number.NaN,
    ...(heightM === null ? {} : { heightM }),
  };
}

const other = (axis: Axis): Axis => (axis === "lat" ? "lon" : "lat");
const notTwo = () =>
  refuse("not-coordinates", "coordinates", "This does not read as one latitude and one longitude.");

/** The tokens of each coordinate: two lists, or one when only one coordinate is there. */
function split(all: Token[]): Token[][] {
  const separators = all.filter(({ kind }) => kind === "separator").length;
  if (separators > 1) throw notTwo();
  if (separators === 1) {
    const at = all.findIndex(({ kind }) => kind === "separator");
    return [all.slice(0, at), all.slice(at + 1)].filter((part) => part.length > 0);
  }
  const cuts = (wanted: (token: Token) => boolean) =>
    all.flatMap((token, index) => (wanted(token) ? [index] : []));
  const cutBefore = (index: number) => [all.slice(0, index), all.slice(index)];

  const labels = cuts(({ kind }) => kind === "label");
  if (labels.length === 2 && labels[0] === 0) return cutBefore(labels[1] ?? 0);
  const letters = cuts(({ kind }) => kind === "letter");
  if (letters.length > 2) throw notTwo();
  if (letters.length > 0) {
    if (letters[0] === 0) return letters[1] === undefined ? splitPlain(all) : cutBefore(letters[1]);
    const end = (letters[0] ?? 0) + 1;
    // The letter of the second coordinate only: nothing says where the first one ends.
    if (end === all.length) return splitPlain(all);
    return cutBefore(end);
  }
  return splitPlain(all);
}

/** Without letters or separators: at the second sign, the second degree mark, or in the middle. */
function splitPlain(all: Token[]): Token[][] {
  const signs = all.flatMap((token, index) => (token.kind === "sign" && index > 0 ? [index] : []));
  const numbers = all.flatMap((token, index) => (token.kind === "number" ? [index] : []));
  const marked = numbers.filter((index) => {
    const token = all[index];
    return token?.kind === "number" && token.unit === "deg";
  });
  const at =
    signs.length === 1
      ? signs[0]
      : marked.length === 2
        ? marked[1]
        : numbers.length % 2 === 0 && signs.length === 0
          ? numbers[numbers.length / 2]
          : undefined;
  if (at === undefined) {
    if (numbers.length === 1 || marked.length === 1) return [all];
    throw notTwo();
  }
  return [all.slice(0, at), all.slice(at)];
}

function readGroup(part: Token[]): Group {
  const group: Group = { axis: null, side: null, signed: false, numbers: [] };
  const letters = part.filter((token) => token.kind === "letter");
  const signs = part.filter((token) => token.kind === "sign");
  const [letter] = letters;
  if (letters.length > 1 || signs.length > 1) throw notTwo();
  for (const [index, token] of part.entries()) {
    if (token.kind === "number") {
      group.numbers.push(token);
      continue;
    }
    if (token.kind === "sign") {
      if (group.numbers.length > 0) throw notTwo();
      continue;
    }
    if (token.kind === "separator") continue;
    if (group.axis !== null && group.axis !== token.axis)
      throw refuse("ambiguous", FIELD[token.axis], "One value is called both latitude and longitude.");
    group.axis = token.axis;
    const inside = group.numbers.length > 0 && index < part.length - 1;
    if (inside) throw notTwo();
  }
  if (group.numbers.length === 0 || group.numbers.length > 3) throw notTwo();
  const [sign] = signs;
  if (letter !== undefined && sign?.side === -1)
    throw refuse(
      "ambiguous",
      FIELD[letter.axis],
      `The ${NAME[letter.axis]} has both a minus sign and a letter.`,
    );
  group.side = letter?.side ?? sign?.side ?? null;
  group.signed = sign !== undefined;
  return group;
}

const UNITS = ["deg", "min", "sec"] as const;
const DIGITS = { lat: [4, 6], lon: [5, 7] } as const;

function degrees(group: Group, axis: Axis): number {
  const field = FIELD[axis];
  const numbers = unpacked(group, axis);
  let sum = 0;
  let last = -1;
  for (const [index, one] of numbers.entries()) {
    const unit = one.unit === null ? last + 1 : UNITS.indexOf(one.unit);
    if (unit <= last || unit > 2 || (index === 0 && unit !== 0)) throw notTwo();
    if (index < numbers.length - 1 && !Number.isInteger(one.value))
      throw refuse("ambiguous", field, `Only the last part of the ${NAME[axis]} may have decimals.`);
    if (unit > 0 && one.value >= 60)
      throw refuse("out-of-range", field, `Minutes and seconds of the ${NAME[axis]} must be below 60.`);
    sum += one.value / 60 ** unit;
    last = unit;
  }
  if (sum > MOST_DEG[axis])
    throw refuse(
      "out-of-range",
      field,
      `The ${NAME[axis]} must be between −${MOST_DEG[axis]}° and ${MOST_DEG[axis]}°.`,
    );
  const value = sum * (group.side ?? 1);
  return value === 0 ? 0 : value;
}

/** 402500N → 40, 25, 00: only with a letter or packed sign form, where it cannot be degrees. */
function unpacked(group: Group, axis: Axis): Group["numbers"] {
  const [one] = group.numbers;
  if (group.numbers.length !== 1 || one === undefined || one.unit !== null || group.side === null)
    return group.numbers;
  const whole = /^\d+/.exec(one.text)?.[0].length ?? 0;
  const parts = whole === DIGITS[axis][0] ? 2 : whole === DIGITS[axis][1] ? 3 : 1;
  if (parts === 1) return group.numbers;
  const head = axis === "lat" ? 2 : 3;
  const pieces = [one.text.slice(0, head), ...(parts === 3 ? [one.text.slice(head, head + 2)] : [])];
  pieces.push(one.text.slice(head + 2 * (parts - 2)));
  return pieces.map((text) => ({ kind: "number", text, value: Number(text), unit: null }));
}

/** A letter on one coordinate and nothing on the other leaves its side open. */
function checkSides(group: Group, axis: Axis, beside: Group): void {
  if (group.side !== null || beside.side === null || beside.signed) return;
  throw refuse(
    "ambiguous",
    FIELD[axis],
    `Say whether the ${NAME[axis]} is ${axis === "lat" ? "N or S" : "E or W"}.`,
  );
}
