/** A number as people write it: decimal point or comma, any minus sign; null when it is none. */
export function readNumber(text: string): number | null {
  const plain = text.trim().replace(/[−–]/g, "-").replace(",", ".");
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}
