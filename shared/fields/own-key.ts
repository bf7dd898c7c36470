/**
 * Ids chosen outside (of rigs, cues, devices, runs, checks) are keys of plain objects here. Every
 * such object also answers to what it inherits ("constructor", "toString" …), so an id is looked
 * up with `ownValue`, and ids that name something inherited are refused where they come in.
 */

/** What a record holds under a key itself; undefined for what it merely inherits. */
export function ownValue<Value>(record: Readonly<Record<string, Value>>, key: string): Value | undefined {
  return Object.hasOwn(record, key) ? record[key] : undefined;
}

/** Whether no plain object inherits something of this name. */
export function isPlainKey(key: string): boolean {
  return !(key in Object.prototype);
}

export const NOT_PLAIN_KEY = "must not be a name that every object has, such as constructor";
