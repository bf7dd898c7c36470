/**
 * True time on the network rig: all namespaces share the kernel's monotonic clock, so any two
 * programs can compare to within microseconds. The bench hub's UTC is that clock plus a constant.
 */
export const HUB_EPOCH_MS = 1_817_200_000_000;

/** The kernel's monotonic clock in ms with fraction. */
export function kernelMs(): number {
  return Number(process.hrtime.bigint()) / 1e6;
}

/** System clock − kernel's monotonic clock in ms, to some µs: found by waiting for ticks of Date.now. */
export function systemMinusKernelMs(): number {
  const found: number[] = [];
  for (let i = 0; i < 15; i++) {
    const before = Date.now();
    let now = before;
    while (now === before) now = Date.now();
    found.push(now - kernelMs());
  }
  // the tick is seen late, never early: the greatest is the nearest
  return found.sort((a, b) => a - b)[found.length - 2] ?? 0;
}
