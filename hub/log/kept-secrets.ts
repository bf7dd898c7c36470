/** The two secrets that a site keeps, as they are read from its settings: what is none counts as none. */

/** A secret shorter than this was not made here: rig links could be guessed. */
const LEAST_SECRET_BYTES = 16;
/** Length of a PIN's scrypt hash. */
export const PIN_HASH_BYTES = 32;

export interface PinRecord {
  salt: string;
  hash: string;
}

/** What the lead's PIN is checked against; undefined where the setting is no PIN's record. */
export function readPinRecord(setting: unknown): PinRecord | undefined {
  const record = setting as Partial<PinRecord> | null | undefined;
  if (typeof record?.salt !== "string" || typeof record.hash !== "string") return undefined;
  if (Buffer.from(record.hash, "base64url").length !== PIN_HASH_BYTES) return undefined;
  return { salt: record.salt, hash: record.hash };
}

/** The secret that rigs' links hang on; undefined where the setting is none. */
export function readSiteSecret(setting: unknown): Buffer | undefined {
  if (typeof setting !== "string") return undefined;
  const secret = Buffer.from(setting, "base64url");
  return secret.length >= LEAST_SECRET_BYTES ? secret : undefined;
}
