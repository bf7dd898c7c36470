/**
 * The site's Wi-Fi as a lead typed it for the join sheet, and the text of its QR code, which phones'
 * cameras take as "join this network": WIFI:T:WPA;S:name;P:password;; with a backslash before each of
 * \ ; , : " (common practice since the barcode readers of early Android phones; no standard of its own).
 */
import * as v from "valibot";
import { flag } from "../fields/flag.ts";

/** IEEE 802.11: an SSID has at most 32 octets; a passphrase 8 to 63 characters (annex J.4). */
export const WIFI_LENGTHS = { name: { least: 1, most: 32 }, password: { least: 8, most: 63 } };
const { name: NAME, password: PASSWORD } = WIFI_LENGTHS;

const name = v.pipe(
  v.string("must be text"),
  v.minLength(NAME.least, "must not be empty"),
  v.check((text) => octets(text) <= NAME.most, `must have at most ${NAME.most} bytes`),
  v.check((text) => !/\p{Cc}/u.test(text), "must have no line breaks or control characters"),
);

/** IEEE 802.11, annex J.4: so many of ASCII 32 to 126, or the key itself in hexadecimal; "" is an open network. */
const password = v.pipe(
  v.string("must be text"),
  v.regex(
    new RegExp(`^(?:[\\x20-\\x7e]{${PASSWORD.least},${PASSWORD.most}}|[0-9A-Fa-f]{64})?$`),
    `must be ${PASSWORD.least} to ${PASSWORD.most} plain characters, or left empty for an open network`,
  ),
);

export const WifiSchema = v.strictObject({
  name,
  password,
  /** The network does not announce its name. */
  hidden: v.optional(flag, false),
});
export type Wifi = v.InferOutput<typeof WifiSchema>;

/** What the QR code says. */
export function wifiText(wifi: Wifi): string {
  const fields = [
    wifi.password === "" ? "T:nopass" : "T:WPA",
    `S:${escaped(wifi.name)}`,
    ...(wifi.password === "" ? [] : [`P:${escaped(wifi.password)}`]),
    ...(wifi.hidden ? ["H:true"] : []),
  ];
  return `WIFI:${fields.join(";")};;`;
}

function escaped(text: string): string {
  return text.replaceAll(/[\\;,:"]/g, (character) => `\\${character}`);
}

/** Length in UTF-8. */
function octets(text: string): number {
  let sum = 0;
  for (const character of text) {
    const point = character.codePointAt(0) ?? 0;
    sum += point < 0x80 ? 1 : point < 0x800 ? 2 : point < 0x10000 ? 3 : 4;
  }
  return sum;
}
