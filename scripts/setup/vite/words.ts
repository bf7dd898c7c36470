/**
 * Compiles the message catalogues at build time. A catalogue is a flat JSON file under
 * console/words/: key → message in ICU MessageFormat. It is turned into Lingui's compiled form
 * (arrays of text and arguments), so that pages need no parser. A message that does not parse
 * stops the build and names its file and key.
 *
 * In languages written from right to left every value is set apart by FIRST STRONG ISOLATE and
 * POP DIRECTIONAL ISOLATE (Unicode Standard Annex #9), so that "2 min 58 s", "−1.5 s" or a name
 * in Latin letters keeps its own order within the sentence.
 */
import { type CompiledMessage, compileMessageOrThrow } from "@lingui/message-utils/compileMessage";
import type { Plugin } from "vite";

const CATALOGUE = /[\\/]console[\\/]words[\\/][a-z]{2,3}[\\/][a-z]+\.json(\?.*)?$/;

const RIGHT_TO_LEFT = /[\\/]ar[\\/][a-z]+\.json(\?.*)?$/;

export function wordsPlugin(): Plugin {
  return {
    name: "noonfall-words",
    enforce: "pre",
    transform: {
      filter: { id: CATALOGUE },
      handler(source, id) {
        return { code: compileCatalogue(source, id), map: null };
      },
    },
  };
}

/** JSON of a catalogue → JSON of the compiled catalogue. Throws Error naming file and key. */
export function compileCatalogue(source: string, file: string): string {
  const raw: unknown = JSON.parse(source);
  if (typeof raw !== "object" || raw === null || Array.isArray(raw)) {
    throw new Error(`${file}: a catalogue is one flat object of key → message.`);
  }
  const compiled: Record<string, unknown> = {};
  for (const [key, message] of Object.entries(raw)) {
    if (typeof message !== "string") throw new Error(`${file}: "${key}" is not a text.`);
    try {
      const plain = compileMessageOrThrow(message);
      compiled[key] = RIGHT_TO_LEFT.test(file) ? setApart(plain) : plain;
    } catch (cause) {
      throw new Error(`${file}: "${key}" is not a valid ICU message: ${String(cause)}`, { cause });
    }
  }
  return JSON.stringify(compiled);
}

/** Values by themselves are set apart; those that choose a form stay as they are. */
function setApart(message: CompiledMessage): CompiledMessage {
  return message.flatMap((token) => {
    if (typeof token === "string") return [token];
    const [name, type, format] = token;
    if (type === undefined) return ["\u2068", token, "\u2069"];
    if (typeof format !== "object" || format === null) return [token];
    const cases = Object.entries(format).map(([form, inner]) => [
      form,
      Array.isArray(inner) ? setApart(inner as CompiledMessage) : inner,
    ]);
    return [[name, type, Object.fromEntries(cases)]];
  });
}
