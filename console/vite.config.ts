/**
 * Builds the pages into build/console: lead/, rig/, board/, trust/, clock/ and drill/index.html, with everything
 * else under assets/ by content hash (to be served as immutable), compressed ahead. Each page
 * loads only its own script, its own style and the chunks it shares with the others. The rig page
 * is built by itself: sharing chunks would make phones carry what only the lead's page uses.
 * Beside them stand the service worker and what it fetches ahead (offline.ts).
 */
import react from "@vitejs/plugin-react";
import { defineConfig } from "vite";
import { bareImportsPlugin } from "../scripts/setup/vite/bare-imports.ts";
import { offlinePlugin } from "../scripts/setup/vite/offline.ts";
import { precompressPlugin } from "../scripts/setup/vite/precompress.ts";
import { usedPartsPlugin } from "../scripts/setup/vite/used-parts.ts";
import { wordsPlugin } from "../scripts/setup/vite/words.ts";

const here = import.meta.dirname;
// Phones of several years ago still join: syntax is lowered to these.
const target = ["es2022", "chrome94", "edge94", "firefox93", "safari15"];
const ICONS = ["noonfall.svg", "noonfall-180.png", "noonfall-192.png", "noonfall-512.png"];

export default defineConfig({
  root: here,
  base: "/",
  publicDir: "public",
  cacheDir: "../node_modules/.vite",
  plugins: [
    wordsPlugin(),
    react(),
    bareImportsPlugin("rig"),
    usedPartsPlugin(),
    offlinePlugin({
      pages: {
        "/rig": "rig/index.html",
        "/board": "board/index.html",
        "/trust": "trust/index.html",
        "/clock": "clock/index.html",
        "/drill": "drill/index.html",
      },
      worker: `${here}/offline/worker/worker.ts`,
      app: `${here}/offline/app.webmanifest`,
      icons: Object.fromEntries(ICONS.map((name) => [name, `${here}/offline/icons/${name}`])),
      target,
    }),
    // Last: it compresses what the others wrote.
    precompressPlugin(),
  ],
  build: {
    outDir: "../build/console",
    emptyOutDir: true,
    target,
    // Nothing inlined: the content security policy allows no data: fonts or scripts.
    assetsInlineLimit: 0,
    // .vite/manifest.json: read by the bundle check.
    manifest: true,
    reportCompressedSize: false,
    // The map of the world's land is one large chunk, loaded only where it is shown.
    chunkSizeWarningLimit: 700,
    rolldownOptions: { checks: { bundlerTimings: false } },
  },
  environments: {
    client: {
      build: {
        rolldownOptions: {
          input: {
            lead: `${here}/lead/index.html`,
            board: `${here}/board/index.html`,
            marshal: `${here}/marshal/index.html`,
            trust: `${here}/trust/index.html`,
            clock: `${here}/clock/index.html`,
            drill: `${here}/drill/index.html`,
          },
        },
      },
    },
    rig: {
      consumer: "client",
      // No browser's tool for developers is looked for.
      define: { __REACT_DEVTOOLS_GLOBAL_HOOK__: "undefined" },
      build: {
        emptyOutDir: false,
        manifest: ".vite/manifest-rig.json",
        // A little tighter than Vite's own: what every phone fetches over a field's Wi-Fi.
        minify: "terser",
        terserOptions: { module: true, ecma: 2020, compress: { passes: 3 } },
        // What the script imports is asked for beside it: one round trip less.
        modulePreload: false,
        rolldownOptions: {
          input: { rig: `${here}/rig/index.html` },
          // Fields of classes are assigned, not defined: shorter, and no class of ours minds.
          transform: { assumptions: { setPublicClassFields: true } },
          // What the first draw needs is one file: it compresses better, and is one request.
          output: { codeSplitting: { groups: [{ name: "rig", tags: ["$initial"] }] } },
        },
      },
    },
  },
  builder: {
    sharedPlugins: true,
    async buildApp(builder) {
      for (const name of ["client", "rig"]) {
        const environment = builder.environments[name];
        if (environment) await builder.build(environment);
      }
    },
  },
});
