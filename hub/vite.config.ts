/**
 * Builds the hub into build/hub/main.js, and beside it the relay, the agent of a computer beside a
 * rig, and what works on files in a process of its own (log/file-work.ts). Packages from node_modules stay outside (better-sqlite3
 * is native, and the others need no bundling); our own files and JSON tables go in.
 */
import { defineConfig } from "vite";

export default defineConfig({
  root: import.meta.dirname,
  cacheDir: "../node_modules/.vite",
  publicDir: false,
  build: {
    ssr: true,
    outDir: "../build/hub",
    emptyOutDir: true,
    target: "node20",
    sourcemap: true,
    minify: false,
    rolldownOptions: {
      input: {
        main: "main.ts",
        relay: "relay/main.ts",
        agent: "agent/main.ts",
        "file-work-main": "log/file-work-main.ts",
        "after-main": "after/after-main.ts",
      },
      checks: { bundlerTimings: false },
      output: {
        entryFileNames: "[name].js",
        chunkFileNames: "[name]-[hash].js",
        sourcemapExcludeSources: true,
      },
    },
  },
});
