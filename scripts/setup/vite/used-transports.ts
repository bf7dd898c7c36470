/**
 * Leaves WebTransport out of the pages' socket client: the hub speaks WebSockets and polling, which
 * browser-socket.ts names, and the client would carry the third for nothing.
 */
import { readFileSync } from "node:fs";
import type { Plugin } from "vite";

const LIST = /engine\.io-client\/build\/esm\/transports\/index\.js$/;

export function usedTransportsPlugin(): Plugin {
  return {
    name: "noonfall-used-transports",
    apply: "build",
    enforce: "pre",
    load: {
      filter: { id: LIST },
      handler(id) {
        const before = readFileSync(id, "utf8");
        const after = before.split("\n").filter((line) => !/webtransport/.test(line));
        if (before.split("\n").length - after.length !== 2)
          this.error(`${id} lists its transports otherwise than this plugin knows`);
        return after.join("\n");
      },
    },
  };
}
