/**
 * Leaves out of the pages' libraries what these pages never use and no bundler can see to be unused:
 * a phone would carry it for nothing (about 3 kB gzipped in all). A library that has changed so
 * that a cut does not fit any more stops the build.
 */
import { readFileSync } from "node:fs";
import type { Plugin } from "vite";

interface Cut {
  file: RegExp;
  /** What must be there. */
  fits: RegExp;
  cut: (text: string) => string;
}

/** Exports of React that no page of ours and no part of the DOM package reads (used-parts.test.ts). */
export const UNUSED_OF_REACT = [
  ...["Activity", "Children", "PureComponent", "Profiler", "ViewTransition", "addTransitionType", "cache"],
  ...["cacheSignal", "cloneElement", "createRef", "forwardRef", "unstable_useCacheRefresh", "useActionState"],
  ...["useDebugValue", "useDeferredValue", "useEffectEvent", "useInsertionEffect", "useOptimistic"],
  ...["Suspense", "isValidElement", "lazy", "startTransition", "use", "useImperativeHandle"],
  ...["useLayoutEffect", "useReducer", "useTransition"],
] as const;

const exportOfReact = (name: string): RegExp =>
  new RegExp(`\\nexports\\.${name} = [\\s\\S]*?(?=\\nexports\\.)`);

const CUTS: readonly Cut[] = [
  {
    file: /react\/cjs\/react\.production\.js$/,
    fits: new RegExp(UNUSED_OF_REACT.map((name) => `(?=[\\s\\S]*\\nexports\\.${name} = )`).join("")),
    cut: (text) => UNUSED_OF_REACT.reduce((left, name) => left.replace(exportOfReact(name), ""), text),
  },
  {
    // The hub speaks WebSockets and polling, which browser-socket.ts names.
    file: /engine\.io-client\/build\/esm\/transports\/index\.js$/,
    fits: /import \{ WT \}.*\n[\s\S]*webtransport: WT,\n/,
    cut: (text) => text.replace(/.*webtransport.*\n/g, ""),
  },
  {
    // Reconnecting is ours (shared/sync/watchdog.ts); the client counts no attempts of its own.
    file: /socket\.io-client\/build\/esm\/contrib\/backo2\.js$/,
    fits: /export function Backoff\(opts\)/,
    cut: () => "export class Backoff { attempts = 0; reset() {} }",
  },
  {
    // Of the DOM package itself its client needs one export; no page of ours imports it (used-parts.test.ts).
    file: /react-dom\/cjs\/react-dom\.production\.js$/,
    fits: /exports\.__DOM_INTERNALS_\w+ =\s+Internals;\nexports\.browser = /,
    cut: (text) => text.slice(0, text.indexOf("exports.browser = ")),
  },
];

export function usedPartsPlugin(): Plugin {
  return {
    name: "noonfall-used-parts",
    apply: "build",
    enforce: "pre",
    load: {
      filter: { id: CUTS.map(({ file }) => file) },
      handler(id) {
        const cut = CUTS.find(({ file }) => file.test(id));
        if (!cut) return null;
        const text = readFileSync(id, "utf8");
        if (!cut.fits.test(text)) this.error(`${id} is not as the cut in used-parts.ts expects it`);
        return cut.cut(text);
      },
    },
  };
}
