/**
 * A part of the page that is fetched after the first draw. Unlike React's lazy it never throws:
 * when the hub is out of reach the part is simply not there yet, is asked for again, and the
 * rest of the page goes on.
 */
import { type ComponentType, type ReactNode, useEffect, useState } from "react";

const AGAIN_MS = 4000;

/** What a chunk holds, asked for again until it is there; `wanted` says whether still to ask. */
export async function untilThere<Found>(
  load: () => Promise<Found>,
  wanted: () => boolean = () => true,
): Promise<Found | null> {
  while (wanted()) {
    try {
      return await load();
    } catch {
      await new Promise((resolve) => setTimeout(resolve, AGAIN_MS));
    }
  }
  return null;
}

export interface LatePart<Props extends object> {
  (props: Props & { instead?: ReactNode }): ReactNode;
  /** Fetches it ahead of use; never rejects. */
  fetch: () => Promise<void>;
}

export function late<Props extends object>(load: () => Promise<ComponentType<Props>>): LatePart<Props> {
  let Part: ComponentType<Props> | null = null;
  let loading: Promise<void> | null = null;
  const fetch = (): Promise<void> => {
    loading ??= load().then(
      (found) => {
        Part = found;
      },
      () => {
        loading = null;
      },
    );
    return loading;
  };

  // biome-ignore lint/correctness/noComponentHookFactories: made once for each part, where modules are loaded
  function Late({ instead = null, ...props }: Props & { instead?: ReactNode }): ReactNode {
    const [, draw] = useState(0);
    const Found = Part;
    useEffect(() => {
      if (Part) {
        // It came between the drawing and this: nobody else would draw again.
        if (!Found) draw((n) => n + 1);
        return;
      }
      let gone = false;
      let timer = 0;
      const look = (): void => {
        void fetch().then(() => {
          if (gone) return;
          if (Part) draw((n) => n + 1);
          else timer = window.setTimeout(look, AGAIN_MS);
        });
      };
      look();
      return () => {
        gone = true;
        window.clearTimeout(timer);
      };
    }, []);
    return Found ? <Found {...(props as unknown as Props)} /> : instead;
  }
  return Object.assign(Late, { fetch });
}
