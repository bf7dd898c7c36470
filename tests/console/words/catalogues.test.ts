/**
 * Holds the catalogues together: every language has exactly the keys that English has, and each
 * message must take the same values as the English one, in the plural forms its language needs.
 */
import { readdirSync, readFileSync } from "node:fs";
import { type CompiledMessage, compileMessageOrThrow } from "@lingui/message-utils/compileMessage";
import { describe, expect, it } from "vitest";

const folder = new URL("../../../console/words/", import.meta.url);
const read = (file: string): Record<string, string> =>
  JSON.parse(readFileSync(new URL(file, folder), "utf8")) as Record<string, string>;
const languages = ["en", "es", "fr", "ar"];
const parts = readdirSync(new URL("en/", folder)).filter((name) => name.endsWith(".json"));
const files = languages.flatMap((language) => parts.map((part) => `${language}/${part}`));
const englishOf = (file: string): Record<string, string> => read(`en/${file.split("/")[1]}`);

interface Use {
  name: string;
  type: string;
  cases: Record<string, CompiledMessage>;
}

function usesOf(message: CompiledMessage): Use[] {
  return message.flatMap((token) => {
    if (typeof token === "string") return [];
    const [name, type = "text", format] = token;
    if (!["plural", "selectordinal", "select"].includes(type)) return [{ name, type, cases: {} }];
    const { offset: _offset, ...cases } = format as Record<string, CompiledMessage>;
    return [{ name, type, cases }, ...Object.values(cases).flatMap(usesOf)];
  });
}

const namesOf = (uses: Use[]): string[] => [...new Set(uses.map((use) => use.name))].sort();

describe.each(files)("catalogue %s", (file) => {
  const catalogue = read(file);
  const english = englishOf(file);
  const entries = Object.entries(catalogue);

  it("has no key that English lacks", () => {
    expect(Object.keys(catalogue).filter((key) => !Object.hasOwn(english, key))).toEqual([]);
  });

  it("has every key that English has", () => {
    expect(Object.keys(english).filter((key) => !catalogue[key]?.trim())).toEqual([]);
  });

  it("takes the same values as English in every message", () => {
    const different = entries.filter(([key, message]) => {
      const own = namesOf(usesOf(compileMessageOrThrow(message)));
      const original = namesOf(usesOf(compileMessageOrThrow(english[key] ?? "")));
      return JSON.stringify(own) !== JSON.stringify(original);
    });
    expect(different).toEqual([]);
  });

  // Categories by Unicode CLDR, as Intl.PluralRules knows them.
  it("has every plural form that whole numbers need in its language", () => {
    const language = file.split("/")[0];
    const lacking = entries.flatMap(([key, message]) =>
      usesOf(compileMessageOrThrow(message))
        .filter((use) => use.type === "plural" || use.type === "selectordinal")
        // Only "other" (and perhaps "=0"): nothing in the message changes with the number.
        .filter((use) => Object.keys(use.cases).some((form) => form !== "other" && !/^\d+$/.test(form)))
        .filter((use) => {
          const rules = new Intl.PluralRules(language, {
            type: use.type === "plural" ? "cardinal" : "ordinal",
          });
          const needed = new Set(Array.from({ length: 201 }, (_, n) => rules.select(n)));
          return [...needed].some((form) => !Object.hasOwn(use.cases, form)) || !use.cases.other;
        })
        .map(() => key),
    );
    expect(lacking).toEqual([]);
  });
});

/**
 * French has two manners of address; a page that mixes them sounds like two people. Ours is "vous".
 * The second person singular shows in its pronouns, and in the first word of a sentence that orders.
 */
describe("French", () => {
  const sentences = parts
    .flatMap((part) => Object.entries(read(`fr/${part}`)))
    .map(([key, message]) => `${key} | ${message}`);

  it("says vous, never tu", () => {
    const tu = /(?<![\p{L}’-])(?:tu|toi|ton|ta|tes|te|t’\p{L}+)(?![\p{L}])|-(?:tu|toi)\b/iu;
    expect(sentences.filter((sentence) => tu.test(sentence.split(" | ")[1] ?? ""))).toEqual([]);
  });

  it("orders with vous: no sentence begins with an order to one familiar person", () => {
    const orders =
      "appuie|maintiens|touche|retire|remets|mets|baisse|lance|bouche|vérifie|éloigne|écarte|scotche|dis|éteins|" +
      "regarde|quitte|desserre|arrête|coupe|donne|écris|scanne|laisse|rouvre|recharge|suis|prends|ouvre|ferme|" +
      "télécharge|choisis|reviens|compare|fais|efface|libère|ajoute|refais|attends|réessaie|sois|monte|prépare|tape";
    const begins = new RegExp(`(?:^|[.:;!?] ?\u00a0?)(?:${orders})(?![\\p{L}’])`, "iu");
    expect(sentences.filter((sentence) => begins.test(sentence.split(" | ")[1] ?? ""))).toEqual([]);
  });
});
