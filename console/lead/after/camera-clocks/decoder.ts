/** The page's side of the decoder: one worker, one picture at a time, stopped when it is not wanted. */

/** Shares of the picture's width and height, 0 to 1. */
export interface Part {
  x: number;
  y: number;
  width: number;
  height: number;
}

export interface DecodeQuestion {
  id: number;
  picture: Blob;
  part: Part | null;
}

export type DecodeAnswer = { id: number; texts: string[] } | { id: number; error: string };

export interface Decoder {
  /** What codes say in a picture; rejects where the browser cannot open it, or after `close`. */
  decode(picture: Blob, part?: Part): Promise<string[]>;
  close(): void;
}

export function openDecoder(): Decoder {
  const worker = new Worker(new URL("./decode-worker.ts", import.meta.url), { type: "module" });
  const waiting = new Map<number, { resolve: (texts: string[]) => void; reject: (why: Error) => void }>();
  let asked = 0;
  const end = (why: Error) => {
    for (const one of waiting.values()) one.reject(why);
    waiting.clear();
  };
  worker.onmessage = ({ data }: MessageEvent<DecodeAnswer>) => {
    const one = waiting.get(data.id);
    waiting.delete(data.id);
    if ("error" in data) one?.reject(new Error(data.error));
    else one?.resolve(data.texts);
  };
  worker.onerror = (event) => end(new Error(event.message || "the decoder could not be started"));
  return {
    decode: (picture, part) =>
      new Promise((resolve, reject) => {
        asked += 1;
        waiting.set(asked, { resolve, reject });
        const question: DecodeQuestion = { id: asked, picture, part: part ?? null };
        worker.postMessage(question);
      }),
    close() {
      worker.terminate();
      end(new Error("stopped"));
    },
  };
}
