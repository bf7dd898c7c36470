/** QR codes are read back with jsQR, a reader that shares no code with the writer. */
import jsQRModule from "jsqr";
import { describe, expect, it } from "vitest";
import { qrTerminal } from "../../../hub/network/qr.ts";

// The package is CommonJS with a default export inside.
const jsQR = ((jsQRModule as unknown as { default?: unknown }).default ?? jsQRModule) as typeof jsQRModule;

const LINK = "http://192.168.8.101:8080/rig#west.eyJnIjoxfQ.3q2-7wAAAABkZWFkYmVlZmRlYWRiZWVmZGVhZA";
const SCALE = 4;
const COLOURS = "\u001b[38;5;16;48;5;231m";
const RESET = "\u001b[0m";

/** Rows of modules, true for dark, to a picture for the reader. */
function read(modules: boolean[][]): string | undefined {
  const height = modules.length * SCALE;
  const width = (modules[0]?.length ?? 0) * SCALE;
  const pixels = new Uint8ClampedArray(width * height * 4);
  for (let y = 0; y < height; y++) {
    for (let x = 0; x < width; x++) {
      const dark = modules[Math.floor(y / SCALE)]?.[Math.floor(x / SCALE)] ?? false;
      pixels.set(dark ? [0, 0, 0, 255] : [255, 255, 255, 255], (y * width + x) * 4);
    }
  }
  return jsQR(pixels, width, height, { inversionAttempts: "dontInvert" })?.data;
}

function modulesOfText(text: string, blackOn: "white" | "dark"): boolean[][] {
  const plain = text.replaceAll(COLOURS, "").replaceAll(RESET, "");
  const lines = plain.replace(/\n$/, "").split("\n");
  return lines.flatMap((line) =>
    [0, 1].map((half) =>
      [...line].map((glyph) => {
        const filled = glyph === "█" || glyph === (half === 0 ? "▀" : "▄");
        return blackOn === "white" ? filled : !filled;
      }),
    ),
  );
}

describe("a QR code", () => {
  it("in a terminal with colour reads as its text", () => {
    const text = qrTerminal(LINK, { colour: true });
    expect(text).toContain(COLOURS);
    expect(read(modulesOfText(text, "white"))).toBe(LINK);
  });

  it("in a terminal without colour reads on a dark background", () => {
    const text = qrTerminal(LINK, { colour: false });
    expect(text).not.toContain("\u001b");
    expect(read(modulesOfText(text, "dark"))).toBe(LINK);
  });

  // ISO/IEC 18004: a symbol of version v has 17 + 4v modules a side, and four light ones around.
  it("of a rig's link fits an 80-column terminal with its quiet zone", () => {
    const modules = modulesOfText(qrTerminal(LINK, { colour: true }), "white");
    const width = modules[0]?.length ?? 0;
    expect((width - 8 - 17) % 4).toBe(0);
    expect(width).toBeLessThanOrEqual(80);
    for (const row of modules.slice(0, 4)) expect(row.some(Boolean)).toBe(false);
    for (const row of modules) expect([...row.slice(0, 4), ...row.slice(-4)].some(Boolean)).toBe(false);
  });
});
