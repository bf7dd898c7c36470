/**
 * Takes Vite's helper out of the imports on demand of a page. It fetches the styles of a part before
 * the part; on the rig page all styles are in the first sheet (console/rig/rig.tsx), so that no part
 * waits for, or fails for, a second file. A part that brings a style of its own stops the build.
 */
import type { Plugin } from "vite";

const HELPER = "\0vite/preload-helper.js";

/** `environment`: the build it is for. */
export function bareImportsPlugin(environment: string): Plugin {
  return {
    name: "noonfall-bare-imports",
    apply: "build",
    enforce: "pre",
    applyToEnvironment: ({ name }) => name === environment,
    load: {
      filter: { id: /^\0vite\/preload-helper\.js$/ },
      handler: (id) => (id === HELPER ? "export const __vitePreload = (load) => load();" : null),
    },
    generateBundle(_options, bundle) {
      for (const [file, item] of Object.entries(bundle)) {
        if (item.type !== "chunk" || item.isEntry) continue;
        const styles = [...(item.viteMetadata?.importedCss ?? [])];
        if (styles.length > 0)
          this.error(`${file} brings ${styles.join(", ")}: import the style in the page's entry, too`);
      }
    },
  };
}
