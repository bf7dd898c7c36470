/** The page's side of the worker that reads headers: one question at a time. */
import type { FileRead, HeadersQuestion } from "./header-worker.ts";

export interface HeaderDesk {
  read(question: HeadersQuestion): Promise<FileRead[]>;
  close(): void;
}

export function openHeaderDesk(): HeaderDesk {
  const worker = new Worker(new URL("./header-worker.ts", import.meta.url), { type: "module" });
  return {
    read: (question) =>
      new Promise((resolve, reject) => {
        worker.onmessage = ({ data }: MessageEvent<FileRead[]>) => resolve(data);
        worker.onerror = (event) => reject(new Error(event.message || "the reader could not be started"));
        worker.postMessage(question);
      }),
    close: () => worker.terminate(),
  };
}
