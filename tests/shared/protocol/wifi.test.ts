/**
 * The text of a Wi-Fi code, read back by a QR reader that shares no code with us (jsQR) and by a
 * reader of the scheme written here from its description: fields end at a semicolon, a backslash
 * takes the next character as it is (as the barcode readers of Android phones do it).
 */
import jsQRModule from "jsqr";
import qrcode from "qrcode";
import * as v from "valibot";
import { describe, expect, it } from "vitest";
import { type Wifi, WifiSchema, wifiText } from "../../../shared/protocol/wifi.ts";

// The package is CommonJS with a default export inside.
const jsQR = ((jsQRModule as unknown as { default?: unknown }).default ?? jsQRModule) as typeof jsQRModule;
const SCALE = 4;
const QUIET = 4;

/** Drawn as the page draws it (errorCorrectionLevel M, margin 4), and seen by a phone. */
function throughCamera(text: string): string | undefined {
  const { modules } = qrcode.create(text, { errorCorrectionLevel: "M" });
  const side = (modules.size + 2 * QUIET) * SCALE;
  const pixels = new Uint8ClampedArray(side * side * 4).fill(255);
  for (let y = 0; y < side; y++)
    for (let x = 0; x < side; x++) {
      const [row, column] = [Math.floor(y / SCALE) - QUIET, Math.floor(x / SCALE) - QUIET];
      const inside = row >= 0 && column >= 0 && row < modules.size && column < modules.size;
      if (inside && modules.get(row, column)) pixels.set([0, 0, 0, 255], (y * side + x) * 4);
    }
  return jsQR(pixels, side, side)?.data;
}

/** Field by field, as a phone reads it. */
function asPhone(text: string): Record<string, string> {
  if (!text.startsWith("WIFI:") || !text.endsWith(";;")) throw new Error(`no Wi-Fi code: ${text}`);
  const fields: Record<string, string> = {};
  for (const [, key = "", value = ""] of text.slice(5).matchAll(/([A-Z]):((?:\\.|[^\\;])*);/g))
    fields[key] = value.replaceAll(/\\(.)/g, "$1");
  return fields;
}

describe("the code of a Wi-Fi", () => {
  it("is the usual text", () => {
    expect(wifiText({ name: "Palm Field", password: "totality-2027", hidden: false })).toBe(
      "WIFI:T:WPA;S:Palm Field;P:totality-2027;;",
    );
    expect(wifiText({ name: "Palm Field", password: "", hidden: true })).toBe(
      "WIFI:T:nopass;S:Palm Field;H:true;;",
    );
  });

  it.each<Wifi>([
    { name: "Palm Field", password: "totality-2027", hidden: false },
    { name: String.raw`a;b,c:d\e"f`, password: String.raw`\;:,"\\;;::P:x;`, hidden: false },
    { name: " blanks at both ends ", password: " 8 chars ", hidden: true },
    { name: "Champ d’été", password: "~!@#$%^&*()_+{}|<>?'", hidden: false },
    { name: "شبكة الواحة", password: "", hidden: false },
  ])("comes through a camera whole: $name", (wifi) => {
    expect(v.parse(WifiSchema, wifi)).toEqual(wifi);
    expect(asPhone(throughCamera(wifiText(wifi)) ?? "")).toEqual({
      S: wifi.name,
      ...(wifi.password === "" ? { T: "nopass" } : { T: "WPA", P: wifi.password }),
      ...(wifi.hidden ? { H: "true" } : {}),
    });
  });
});

// IEEE 802.11: an SSID of at most 32 octets; a passphrase of 8 to 63 ASCII characters, or a key of 64
// hexadecimal digits (values from memory).
describe("a Wi-Fi as typed", () => {
  const wrong = (wifi: unknown) => v.safeParse(WifiSchema, wifi).issues?.[0]?.path?.[0]?.key;

  it.each([
    ["name", { name: "", password: "" }],
    ["name", { name: "é".repeat(17), password: "" }],
    ["name", { name: "two\nlines", password: "" }],
    ["password", { name: "a", password: "seven77" }],
    ["password", { name: "a", password: "p".repeat(64) }],
    ["password", { name: "a", password: "mot de passé" }],
    ["hidden", { name: "a", password: "", hidden: "yes" }],
    ["band", { name: "a", password: "", band: 5 }],
  ])("is refused by its %s: %j", (field, wifi) => {
    expect(wrong(wifi)).toBe(field);
  });

  it.each([
    { name: "é".repeat(16), password: "12345678" },
    { name: "a", password: "f".repeat(64) },
    { name: "a", password: "p".repeat(63) },
  ])("is taken up to its ends: %j", (wifi) => {
    expect(v.parse(WifiSchema, wifi)).toEqual({ ...wifi, hidden: false });
  });
});
