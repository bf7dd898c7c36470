/** Reads headers of files beside the page, so that it never stutters: some files at a time. */
import type { Frame } from "../../../../shared/fields/image-frame.ts";
import type { Embedded } from "../../../../shared/images/headers/file-headers.ts";
import { frameOf } from "../../../../shared/images/headers/frame-of.ts";
import { HeaderError } from "../../../../shared/images/headers/pieces.ts";
import { readHeaders } from "../../../../shared/images/headers/read-headers.ts";
import { sourceOfFile } from "../file-source.ts";

export interface HeadersQuestion {
  files: { path: string; file: File }[];
}

export type FileRead =
  | { path: string; frame: Frame; thumbnail: Embedded | null }
  | { path: string; problem: string };

async function readOne(path: string, file: File): Promise<FileRead> {
  try {
    const headers = await readHeaders(sourceOfFile(file));
    return { path, frame: frameOf(path, headers), thumbnail: headers.thumbnail };
  } catch (error) {
    // A card that was pulled out meanwhile, too.
    const known = error instanceof HeaderError || error instanceof DOMException;
    return { path, problem: known ? error.message : String(error) };
  }
}

self.onmessage = async ({ data }: MessageEvent<HeadersQuestion>) => {
  const read: FileRead[] = [];
  for (const { path, file } of data.files) read.push(await readOne(path, file));
  self.postMessage(read);
};
