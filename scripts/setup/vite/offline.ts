/**
 * What phones need to open their pages without the hub, written after the pages are built:
 *
 *   sw.js            the service worker, with the list of files it fetches ahead
 *   offline.json     the same list for phones on plain http, which have no service worker
 *   app.webmanifest  and icons, so that the rig page can be put on a phone's home screen
 *
 * The list is read from the bundle itself: everything that a page imports now or later, with the
 * styles, faces, catalogues and clips these need. What only the lead's page needs is left out.
 */
import { createHash } from "node:crypto";
import { readFile, writeFile } from "node:fs/promises";
import { join } from "node:path";
import { build, type Plugin, type Rolldown } from "vite";

export interface OfflineOptions {
  /** Page address → its HTML, relative to the root, e.g. "/rig" → "rig/index.html". */
  pages: Record<string, string>;
  /** Entry of the service worker. */
  worker: string;
  /** File of the web app manifest, and its icons: name under /icons/ → file. */
  app: string;
  icons: Record<string, string>;
  target: string[];
}

export interface OfflineList {
  /** Hash over all of it: another build, another name. */
  build: string;
  pages: Record<string, { entry: string; files: string[] }>;
}

type Bundle = Rolldown.OutputBundle;

const MANIFEST = "app.webmanifest";

export function offlinePlugin(options: OfflineOptions): Plugin {
  let minify = true;
  // The pages come out of several builds (console/vite.config.ts).
  const whole: Bundle = {};
  return {
    name: "noonfall-offline",
    apply: "build",
    configResolved(config) {
      minify = config.build.minify !== false;
    },
    transformIndexHtml: () =>
      [
        { rel: "manifest", href: `/${MANIFEST}` },
        { rel: "icon", type: "image/svg+xml", href: "/icons/noonfall.svg" },
        { rel: "apple-touch-icon", href: "/icons/noonfall-180.png" },
      ].map((attrs) => ({ tag: "link", attrs, injectTo: "head" as const })),
    async generateBundle() {
      this.emitFile({ type: "asset", fileName: MANIFEST, source: await readFile(options.app) });
      for (const [name, file] of Object.entries(options.icons)) {
        this.emitFile({ type: "asset", fileName: `icons/${name}`, source: await readFile(file) });
      }
    },
    writeBundle: {
      order: "post",
      sequential: true,
      async handler({ dir }, bundle) {
        if (!dir) return;
        Object.assign(whole, bundle);
        if (!Object.values(options.pages).every((html) => whole[html])) return;
        const list = offlineList(whole, options.pages);
        await writeFile(join(dir, "offline.json"), JSON.stringify(list));
        const unhashed = [MANIFEST, ...Object.keys(options.icons).map((name) => `icons/${name}`)];
        const revised = [
          ...Object.entries(options.pages).map(([url, file]) => ({ url, file })),
          ...unhashed.map((file) => ({ url: `/${file}`, file })),
        ];
        const precache = [
          ...revised.map(({ url, file }) => ({ url, revision: hashOf([sourceOf(whole, file)]) })),
          ...filesOf(list).map((url) => ({ url, revision: null })),
        ];
        await buildWorker(options, dir, minify, precache);
      },
    },
  };
}

/** Pages → what each is made of. Throws Error when a page is not in the bundle. */
export function offlineList(bundle: Bundle, pages: Record<string, string>): OfflineList {
  const found = Object.entries(pages).map(([url, html]) => {
    const entry = Object.values(bundle).find(
      (item): item is Rolldown.OutputChunk =>
        item.type === "chunk" &&
        item.isEntry &&
        (item.facadeModuleId ?? "").replaceAll("\\", "/").endsWith(`/${html}`),
    );
    if (!entry) throw new Error(`the build has no page ${html}`);
    const files = [...filesFrom(bundle, entry.fileName)].sort().map((file) => `/${file}`);
    return [url, { entry: `/${entry.fileName}`, files }] as const;
  });
  const list = Object.fromEntries(found);
  const html = Object.values(pages).map((file) => sourceOf(bundle, file));
  return { build: hashOf([JSON.stringify(list), ...html]), pages: list };
}

function filesOf(list: OfflineList): string[] {
  return [...new Set(Object.values(list.pages).flatMap((page) => page.files))].sort();
}

/**
 * A chunk, all it imports now or on demand, their styles and assets, and what these name in turn:
 * styles that are loaded on demand stand in the code alone.
 */
function filesFrom(bundle: Bundle, start: string): Set<string> {
  const seen = new Set<string>();
  const todo = [start];
  for (let file = todo.pop(); file !== undefined; file = todo.pop()) {
    const item = bundle[file];
    if (!item || seen.has(file)) continue;
    seen.add(file);
    if (item.type === "chunk") {
      todo.push(...item.imports, ...item.dynamicImports);
      todo.push(...(item.viteMetadata?.importedCss ?? []));
      todo.push(...named(item.code));
    } else if (file.endsWith(".css")) todo.push(...named(String(item.source)));
  }
  return seen;
}

function named(text: string): string[] {
  return text.match(/assets\/[\w.-]+/g) ?? [];
}

function sourceOf(bundle: Bundle, file: string): string | Uint8Array {
  const item = bundle[file];
  if (item?.type !== "asset") throw new Error(`the build has no ${file}`);
  return item.source;
}

function hashOf(parts: ReadonlyArray<string | Uint8Array>): string {
  const hash = createHash("sha256");
  for (const part of parts) hash.update(part).update("\0");
  return hash.digest("hex").slice(0, 16);
}

/** One classic script: module workers are not in all browsers that have service workers. */
async function buildWorker(
  { worker, target, pages }: OfflineOptions,
  dir: string,
  minify: boolean,
  precache: readonly object[],
): Promise<void> {
  await build({
    configFile: false,
    publicDir: false,
    logLevel: "warn",
    define: {
      PRECACHE: JSON.stringify(precache),
      PAGES: JSON.stringify(Object.keys(pages)),
      "process.env.NODE_ENV": '"production"',
    },
    build: {
      outDir: dir,
      emptyOutDir: false,
      target,
      minify,
      modulePreload: false,
      rolldownOptions: {
        input: worker,
        output: { format: "iife", entryFileNames: "sw.js" },
      },
    },
  });
}
