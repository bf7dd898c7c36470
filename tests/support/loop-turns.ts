/**
 * How many turns the event loop made while something was done: in each of them other work had its
 * chance. Counted, not timed, so that a busy machine changes nothing.
 */
export async function loopTurns(work: Promise<unknown>): Promise<number> {
  let turns = 0;
  let counting = true;
  const count = (): void => {
    turns++;
    if (counting) setImmediate(count);
  };
  setImmediate(count);
  await work;
  counting = false;
  return turns;
}
