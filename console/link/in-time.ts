/** A signal that ends a request after so many ms. AbortSignal.timeout is younger than some phones. */
export function inTime(ms: number): AbortSignal {
  const limit = new AbortController();
  setTimeout(() => limit.abort(), ms);
  return limit.signal;
}
