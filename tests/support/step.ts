/** One part of a long story that is one test, since each part begins where the one before ended. */
export async function step<T>(what: string, act: () => T | Promise<T>): Promise<T> {
  try {
    return await act();
  } catch (error) {
    if (error instanceof Error) error.message = `“${what}”: ${error.message}`;
    throw error;
  }
}
