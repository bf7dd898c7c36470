/** Messages as the pages put them together, against Lingui's own runtime on the same compiled form. */
import { readdirSync, readFileSync } from "node:fs";
import { setupI18n } from "@lingui/core";
import { compileMessageOrThrow } from "@lingui/message-utils/compileMessage";
import { describe, expect, it } from "vitest";
import { type Message, messageText } from "../../../console/words/message.ts";

const folder = new URL("../../../console/words/", import.meta.url);
const FORMATS = { en: "en-GB", es: "es", fr: "fr", ar: "ar-u-nu-latn" };
/** Of every plural form of the four languages (Unicode CLDR), and one with a separator. */
const COUNTS = [0, 1, 2, 3, 11, 100, 1_000_000, 12_345.6];

const messagesOf = (language: string): [string, string][] =>
  readdirSync(new URL(`${language}/`, folder))
    .filter((name) => name.endsWith(".json"))
    .flatMap((name) =>
      Object.entries<string>(JSON.parse(readFileSync(new URL(`${language}/${name}`, folder), "utf8"))),
    );

describe.each(Object.entries(FORMATS))("messages in %s", (language, locale) => {
  const check = (message: string, values: Record<string, string | number>): void => {
    const compiled = compileMessageOrThrow(message);
    const other = setupI18n({
      locale: language,
      locales: locale,
      messages: { [language]: { it: compiled } },
    });
    expect(messageText(compiled as Message, values, locale), message).toBe(other._("it", values));
  };

  it("say what Lingui's runtime says, every message with every kind of count", () => {
    for (const [, message] of messagesOf(language)) {
      const names = [...message.matchAll(/\{\s*(\w+)/g)].map(([, name]) => name ?? "");
      for (const count of message.includes("plural") ? COUNTS : [2])
        check(message, Object.fromEntries(names.map((name) => [name, count])));
    }
  });

  it("choose by a word, hold one choice in another, and keep a plain number sign", () => {
    const message =
      "# {n, plural, =0 {none} one {# {who}} other {# of {kind, select, cap {caps #} other {things}}}}";
    for (const n of COUNTS)
      for (const kind of ["cap", "other", "what"]) check(message, { n, kind, who: "Ada" });
  });

  it("leave a gap for a value that is missing", () => {
    check("{rig}: look", {});
  });
});
