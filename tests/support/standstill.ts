/**
 * How long a program's event loop was kept from other work while something was done: the most
 * processor time between two turns, ms. Processor time and not the wall clock's, so that a busy
 * machine does not count.
 */
export async function longestStandstillMs(work: Promise<unknown>): Promise<number> {
  let longest = 0;
  let last = process.cpuUsage();
  const timer = setInterval(() => {
    const { user, system } = process.cpuUsage(last);
    longest = Math.max(longest, (user + system) / 1000);
    last = process.cpuUsage();
  }, 1);
  await work;
  clearInterval(timer);
  return longest;
}
