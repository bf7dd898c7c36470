/** Expected refusals: values, not exceptions. `code` is stable; pages translate by it. */
export type RefusalCode =
  | "bad-input"
  | "not-signed-in"
  | "not-allowed"
  | "not-found"
  | "stale-plan"
  | "reused-id"
  | "safety-rule"
  | "needs-acknowledgement"
  | "no-site"
  | "no-such-contact"
  | "contact-passed"
  | "taken"
  | "too-close-to-eclipse"
  | "no-practice"
  | "too-early"
  | "eclipse-unknown"
  | "too-large"
  | "too-many"
  | "protocol"
  | "internal";

export interface Refusal {
  code: RefusalCode;
  /** In English, for programs and logs; pages translate by code and data. */
  message: string;
  field?: string;
  /** The safety rule that forbids it, e.g. "S2". */
  rule?: string;
  data?: Record<string, unknown>;
}

export function refusal(code: RefusalCode, message: string, more: Partial<Refusal> = {}): Refusal {
  return { code, message, ...more };
}
