/**
 * QR codes (ISO/IEC 18004) for joining: as text for a terminal; pages draw their own.
 * Error correction level M; a quiet zone of four modules, as the standard asks.
 */
import QRCode from "qrcode";

const QUIET_MODULES = 4;
/** Pure black and white of the 256-colour palette: a terminal's own theme may dim the plain ones. */
const BLACK_ON_WHITE = "\u001b[38;5;16;48;5;231m";
const RESET = "\u001b[0m";

/**
 * Lines of half blocks, two modules a character. With colour it is black on white whatever the
 * terminal's theme; without, dark modules are blank, which is right on a dark terminal.
 */
export function qrTerminal(text: string, options: { colour: boolean }): string {
  const { modules } = QRCode.create(text, { errorCorrectionLevel: "M" });
  const isDark = (row: number, column: number): boolean =>
    row >= 0 && column >= 0 && row < modules.size && column < modules.size && modules.get(row, column) === 1;
  const glyphs = options.colour ? [" ", "▄", "▀", "█"] : ["█", "▀", "▄", " "];
  const lines: string[] = [];
  for (let row = -QUIET_MODULES; row < modules.size + QUIET_MODULES; row += 2) {
    let line = "";
    for (let column = -QUIET_MODULES; column < modules.size + QUIET_MODULES; column++) {
      line += glyphs[(isDark(row, column) ? 2 : 0) + (isDark(row + 1, column) ? 1 : 0)];
    }
    lines.push(options.colour ? `${BLACK_ON_WHITE}${line}${RESET}` : line);
  }
  return `${lines.join("\n")}\n`;
}
