/**
 * Payloads of events as JSON, for those that were made into text ahead of their turn: of a save of a
 * hundred rigs that is most of the work of writing it down. Payloads never change once they are made.
 */
const kept = new WeakMap<object, string>();

/** Makes the text now, so that the log need not. */
export function keepPayloadText(payload: object): void {
  kept.set(payload, JSON.stringify(payload));
}

export function payloadText(payload: unknown): string {
  const known = typeof payload === "object" && payload !== null ? kept.get(payload) : undefined;
  return known ?? JSON.stringify(payload ?? null);
}
