/** What a board reads of an answer: never more than a document can be, however long a relay goes on. */
import { expect, test } from "vitest";
import { textUpTo } from "../../../console/link/text-up-to.ts";

test("a text is read whole, letters of several bytes across pieces too", async () => {
  const bytes = new TextEncoder().encode("مرحبا, 3°");
  const pieces = new ReadableStream<Uint8Array>({
    start(to) {
      for (const byte of bytes) to.enqueue(Uint8Array.of(byte));
      to.close();
    },
  });
  expect(await textUpTo(new Response(pieces), 100)).toBe("مرحبا, 3°");
  expect(await textUpTo(new Response(null), 100)).toBe("");
});

test("an answer without an end is left soon, and its connection is given up", async () => {
  let sent = 0;
  let left = false;
  const endless = new ReadableStream<Uint8Array>({
    pull(to) {
      sent++;
      to.enqueue(new Uint8Array(1000));
    },
    cancel() {
      left = true;
    },
  });
  expect(await textUpTo(new Response(endless), 16_384)).toBeUndefined();
  expect(left).toBe(true);
  expect(sent).toBeLessThan(25);
});
