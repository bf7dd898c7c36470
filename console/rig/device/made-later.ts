/** Something of the page's that comes as a chunk of its own, after the first draw. */
import { useEffect, useRef, useState } from "react";
import { untilThere } from "../../parts/late.tsx";

/**
 * Null until its chunk is there; made anew for another `key`, and closed with the page or before the
 * next one is made.
 */
export function useMadeLater<Chunk, Made extends { close(): void }>(
  load: () => Promise<Chunk>,
  make: (chunk: Chunk) => Made,
  key: unknown,
): Made | null {
  const latest = useRef({ load, make });
  latest.current = { load, make };
  const [made, setMade] = useState<Made | null>(null);
  // biome-ignore lint/correctness/useExhaustiveDependencies: what it is made for, and nothing else
  useEffect(() => {
    let gone = false;
    let own: Made | null = null;
    void untilThere(latest.current.load, () => !gone).then((chunk) => {
      if (gone || !chunk) return;
      own = latest.current.make(chunk);
      setMade(own);
    });
    return () => {
      gone = true;
      own?.close();
    };
  }, [key]);
  return made;
}
