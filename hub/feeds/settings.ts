/** Small settings of the site, as a feed needs them; the log has them (hub/log/event-log.ts). */
export interface Settings {
  getSetting(key: string): unknown;
  /** Throws where it cannot be written. */
  setSetting(key: string, value: unknown): void;
}
