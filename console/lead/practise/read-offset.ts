/**
 * An offset as a lead types it: "−3:00", "-180", "+0:45", "1:10:00", "-90 s". Seconds when there
 * is no colon. Null when it cannot be read.
 */
export function readOffset(text: string): number | null {
  const plain = text.trim().replace(/[−–]/g, "-").replace(/\s*s$/, "");
  const found = /^([+-]?)\s*(\d{1,6})(?::(\d{1,2}))?(?::(\d{1,2}))?$/.exec(plain);
  if (!found) return null;
  const [, sign, a, b, c] = found;
  const parts = [a, b, c].filter((part): part is string => part !== undefined).map(Number);
  if (parts.slice(1).some((part) => part > 59)) return null;
  const seconds = parts.reduce((sum, part) => sum * 60 + part, 0);
  return sign === "-" ? (seconds === 0 ? 0 : -seconds) : seconds;
}
