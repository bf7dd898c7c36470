import "../../../console/words/bundles/common.ts";
import { createElement } from "react";
import { renderToString } from "react-dom/server";
import { afterEach, describe, expect, it } from "vitest";
import {
  currentLocale,
  dir,
  intlLocale,
  isWordKey,
  loadWords,
  locales,
  preferredLocale,
  t,
  useWords,
} from "../../../console/words/words.ts";

function Page() {
  const words = useWords();
  return createElement("p", { dir: words.dir }, words.t("count.rigs", { count: 2 }));
}

describe("words", () => {
  afterEach(() => loadWords("en"));

  it("fills values into a message", () => {
    expect(t("link.alone", { time: "10:01:40" })).toBe("Alone since 10:01:40");
  });

  // Plural categories one/other of English: Unicode CLDR, plural rules chart.
  it("chooses the plural form of the language", () => {
    expect(t("count.rigs", { count: 1 })).toBe("1 rig");
    expect(t("count.rigs", { count: 12 })).toBe("12 rigs");
  });

  it("shows English where a language lacks a key", async () => {
    for (const locale of locales) {
      await loadWords(locale);
      expect(currentLocale()).toBe(locale);
      expect(t("app.name")).toBe("Noonfall");
    }
  });

  it("lets the last of several choices win", async () => {
    await Promise.all([loadWords("fr"), loadWords("ar"), loadWords("es")]);
    expect(currentLocale()).toBe("es");
  });

  it("writes Arabic from right to left, with figures 0 to 9", async () => {
    await loadWords("ar");
    expect(dir(currentLocale())).toBe("rtl");
    expect(new Intl.NumberFormat(intlLocale()).format(2027)).toMatch(/2.?027/);
    expect(dir("fr")).toBe("ltr");
  });

  it("picks the first of the reader's languages that exists, else English", () => {
    expect(preferredLocale(["de-DE", "fr-CA", "es"])).toBe("fr");
    expect(preferredLocale(["AR-EG"])).toBe("ar");
    expect(preferredLocale(["de", "tlh"])).toBe("en");
    expect(preferredLocale([])).toBe("en");
  });

  it("knows which texts are keys", () => {
    expect(isWordKey("app.name")).toBe(true);
    expect(isWordKey("toString")).toBe(false);
  });

  it("gives components the words", () => {
    expect(renderToString(createElement(Page))).toBe('<p dir="ltr">2 rigs</p>');
  });
});
