/** A site of an earlier program, whose circumstances lack what today's solver tells. */
import { expect, it } from "vitest";
import { MemoryLog } from "../../../hub/log/memory-log.ts";
import { LUXOR_PLAN, startTestHub } from "../../support/test-hub.ts";

it("is solved anew at the start, once, and its plan stays as it is", async () => {
  const log = new MemoryLog();
  const first = await startTestHub(log);
  const token = await first.signIn();
  await first.call("PUT", "/api/plan", LUXOR_PLAN, token, { "If-Match": '"plan-0"' });
  await first.stop();
  // As the earlier program wrote it.
  const events = [...log.read({ afterSeq: 0 })].map((event) => {
    const earlier = structuredClone(event);
    delete (earlier.payload as { circumstances?: { lengthBoundS?: number } }).circumstances?.lengthBoundS;
    return earlier;
  });
  const old = new MemoryLog();
  await old.append({
    events,
    sender: "test",
    commandId: "old",
    bodyHash: "old",
    answer: { ok: true, seq: 1 },
  });
  const count = [...old.read({ afterSeq: 0 })].length;
  const hub = await startTestHub(old);
  await expect.poll(() => hub.parts.keeper.state.circumstances?.lengthBoundS).toBeGreaterThanOrEqual(0);
  expect(hub.parts.keeper.state.plan.revision).toBe(1);
  const after = [...old.read({ afterSeq: count })].filter(({ type }) => type === "sitePlanned");
  expect(after).toHaveLength(1);
  await hub.stop();
  const again = await startTestHub(old);
  expect([...old.read({ afterSeq: 0 })].filter(({ type }) => type === "sitePlanned")).toHaveLength(2);
  await again.stop();
});
