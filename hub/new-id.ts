/** A random id of 22 characters. */
import { randomBytes } from "node:crypto";

export function newId(): string {
  return randomBytes(16).toString("base64url");
}
