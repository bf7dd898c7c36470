/**
 * The pieces of a pasted coordinate text: numbers with their unit marks, signs, compass letters,
 * labels, one separator. What it means is parse-coordinates.ts.
 */
export type Token =
  | { kind: "number"; text: string; value: number; unit: "deg" | "min" | "sec" | null }
  | { kind: "sign"; side: 1 | -1 }
  | { kind: "letter"; axis: "lat" | "lon"; side: 1 | -1 }
  | { kind: "label"; axis: "lat" | "lon" }
  | { kind: "separator" };

export interface ReadTokens {
  tokens: Token[];
  heightM: number | null;
}

const FOOT_M = 0.3048; // exact, international foot

/** Compass words to letters; longer words first. Accents are gone by then. */
const WORDS: ReadonlyArray<[RegExp, string]> = [
  [/\b(?:north|norte|nord)\b/gi, " N "],
  [/\b(?:south|sur|sud)\b/gi, " S "],
  [/\b(?:east|este|est|ost)\b/gi, " E "],
  [/\b(?:west|oeste|ouest|ovest)\b/gi, " W "],
  [/شمالا|شمال/g, " N "],
  [/جنوبا|جنوب/g, " S "],
  [/شرقا|شرق/g, " E "],
  [/غربا|غرب/g, " W "],
  [/\b(?:latitude|latitud|lat)\b\.?\s*[:=]?/gi, " @ "],
  [/\b(?:longitude|longitud|long|lon|lng)\b\.?\s*[:=]?/gi, " # "],
  [/(?:degrees|degree|degres|grados|deg)\b\.?/gi, "° "],
  [/(?:minutes|minutos|min)\b\.?/gi, "' "],
  [/(?:seconds|secondes|segundos|sec|seg)\b\.?/gi, '" '],
];

/** Look-alikes people paste: curly quotes, ordinal signs, dashes, Arabic digits and marks. */
function plain(text: string): string {
  return text
    .normalize("NFD")
    .replace(/[\u0300-\u036f\u064b-\u0652\u200e\u200f\u202a-\u202e\u2066-\u2069\ufeff]/g, "")
    .replace(/[٠-٩]/g, (digit) => String(digit.charCodeAt(0) - 0x0660))
    .replace(/[۰-۹]/g, (digit) => String(digit.charCodeAt(0) - 0x06f0))
    .replace(/٫/g, ".")
    .replace(/،/g, ",")
    .replace(/[−–—‐‑﹣－]/g, "-")
    .replace(/[º˚⁰]/g, "°")
    .replace(/''|[″”“„‟ʺ˝〃]|[′’‘ʹ´`]{2}/g, '"')
    .replace(/[′’‘ʹ´`ʼ]/g, "'")
    .replace(/[\u00a0\u2000-\u200b\u202f\t]/g, " ")
    .trim();
}

/** null when it cannot be coordinates; "comma" when a lone comma can be read in two ways. */
export function tokens(pasted: string): ReadTokens | "comma" | null {
  let text = plain(pasted).replace(/^[([{]\s*|\s*[)\]}]$/g, "");
  const uri = /^geo:(-?[\d.]+),(-?[\d.]+)(?:,(-?[\d.]+))?(?:;.*)?$/i.exec(text);
  if (uri !== null) text = `${uri[1]}, ${uri[2]}${uri[3] === undefined ? "" : `, ${uri[3]}`}`;
  const iso = /^([+-]\d+(?:\.\d+)?)([+-]\d+(?:\.\d+)?)([+-]\d+(?:\.\d+)?)?(?:CRS[\w:]*)?\/?$/.exec(text);
  if (iso !== null) {
    const read = scan(`${iso[1]} ${iso[2]}`);
    return read === null ? null : { tokens: read, heightM: iso[3] === undefined ? null : Number(iso[3]) };
  }
  for (const [word, letter] of WORDS) text = text.replace(word, letter);
  const height = takeHeight(text);
  text = height.text;

  // With a point anywhere, commas separate; otherwise one between digits is a decimal comma.
  const pointed = /\d\.\d/.test(text);
  if (!pointed) {
    const numbers = text.replace(/(\d),(?=\d)/g, "$1.").match(/\d+(?:\.\d+)?/g) ?? [];
    if (/^[^\d]*\d+,\d+[^\d]*$/.test(text) && numbers.length === 1) return "comma";
    text = text.replace(/(\d),(\d+)/g, "$1.$2");
  }
  const read = scan(text.replace(/\s*(?:[,;/]|\r?\n)\s*/g, " ; "));
  return read === null ? null : { tokens: read, heightM: height.heightM };
}

/** "…, 650 m", "… 2133 ft", "… alt 650", or a third number after two commas. */
function takeHeight(text: string): { text: string; heightM: number | null } {
  const number = String.raw`([+-]?\s?\d+(?:[.,]\d+)?)`;
  const label = String.raw`(?:height|elevation|elev|altitude|altitud|altura|hauteur|alt|h)\b\.?\s*[:=]?\s*`;
  const unit = String.raw`(m|metres|meters|metros|msnm|m\.?s\.?n\.?m|masl|ft|feet)`;
  const found =
    new RegExp(`^(.*?)[,;\\s]+(?:${label})?${number}\\s*${unit}\\.?$`, "is").exec(text) ??
    new RegExp(`^(.*?)[,;\\s]+${label}${number}()$`, "is").exec(text) ??
    /^(\s*[+-]?\d+(?:\.\d+)?\s*,\s*[+-]?\d+(?:\.\d+)?)\s*,\s+([+-]?\d+(?:\.\d+)?)()$/.exec(text);
  // "3° 42m" is minutes, not a height, in a text that writes minutes so.
  if (found === null || /\d\s*m\b/i.test(found[1] ?? "")) return { text, heightM: null };
  const value = Number((found[2] ?? "").replace(",", ".").replace(/\s/g, ""));
  const feet = /^f/i.test(found[3] ?? "");
  return { text: found[1] ?? "", heightM: feet ? value * FOOT_M : value };
}

const LETTERS: Record<string, Extract<Token, { kind: "letter" }>> = {
  N: { kind: "letter", axis: "lat", side: 1 },
  S: { kind: "letter", axis: "lat", side: -1 },
  E: { kind: "letter", axis: "lon", side: 1 },
  W: { kind: "letter", axis: "lon", side: -1 },
  O: { kind: "letter", axis: "lon", side: -1 },
};

const UNIT_MARKS: Record<string, "deg" | "min" | "sec"> = {
  "°": "deg",
  d: "deg",
  "'": "min",
  m: "min",
  '"': "sec",
  s: "sec",
};

function scan(text: string): Token[] | null {
  const out: Token[] = [];
  const piece =
    /\s*(?:(\d+(?:\.\d+)?)\s*(°|'|"|[dm](?![a-z])|s(?![a-df-mp-rt-vx-z]|n[a-z]))?|([+-])|([NSEWO])(?![a-z])|(@)|(#)|(;)|(:))/giy;
  let colonOpen = false;
  while (piece.lastIndex < text.length) {
    const start = piece.lastIndex;
    const found = piece.exec(text);
    if (found === null) return text.slice(start).trim() === "" ? out : null;
    const [, number, mark, sign, letter, lat, lon, separator, colon] = found;
    if (number !== undefined) {
      const unit = mark === undefined ? null : unitOf(mark, out);
      // An S after the seconds' place is south; one after a third bare number is south too.
      if (unit === "south") {
        out.push({ kind: "number", text: number, value: Number(number), unit: null });
        out.push(LETTERS.S as Token);
      } else out.push({ kind: "number", text: number, value: Number(number), unit });
      colonOpen = false;
    } else if (colon !== undefined) {
      if (colonOpen || out.at(-1)?.kind !== "number") return null;
      colonOpen = true;
    } else if (sign !== undefined) out.push({ kind: "sign", side: sign === "-" ? -1 : 1 });
    else if (letter !== undefined) {
      const known = LETTERS[letter.toUpperCase()];
      if (known === undefined) return null;
      out.push(known);
    } else if (lat !== undefined) out.push({ kind: "label", axis: "lat" });
    else if (lon !== undefined) out.push({ kind: "label", axis: "lon" });
    else if (separator !== undefined) {
      if (out.at(-1)?.kind !== "separator" && out.length > 0) out.push({ kind: "separator" });
    }
  }
  if (out.at(-1)?.kind === "separator") out.pop();
  return colonOpen ? null : out;
}

/** "s" marks seconds only after a minutes mark; otherwise it is south. */
function unitOf(mark: string, before: Token[]): "deg" | "min" | "sec" | "south" {
  if (mark !== "s" && mark !== "S") return UNIT_MARKS[mark.toLowerCase()] ?? "deg";
  const last = before.at(-1);
  return last?.kind === "number" && last.unit === "min" ? "sec" : "south";
}
