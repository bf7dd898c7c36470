/**
 * A message as it was compiled when the pages were built (scripts/setup/vite/words.ts): text and values
 * in a row, of which plurals and choices hold others. Lingui's own runtime reads the same and more
 * (dates, several catalogues at once), which no message of ours needs: it is four times as large, on
 * every phone; tests compare the two.
 */
export type Message = readonly (string | Value)[];
type Value = readonly [name: string, type?: string, cases?: Readonly<Record<string, string | Message>>];
export type Values = Readonly<Record<string, string | number>>;

const plurals = new Map<string, Intl.PluralRules>();

/** `locale`: for plural forms and figures. A value that is not given leaves a gap. */
export function messageText(message: Message, values: Values, locale: string): string {
  return textOf(message, values, locale, "#");
}

/** `figure` stands for "#", directly inside a plural. */
function textOf(message: string | Message, values: Values, locale: string, figure: string): string {
  if (typeof message === "string") return message;
  return message
    .map((token) => {
      if (typeof token === "string") return token === "#" ? figure : token;
      const [name, type, cases] = token;
      const value = values[name] ?? "";
      if (!cases) return value;
      if (type === "select") return textOf(cases[value] ?? cases.other ?? "", values, locale, "#");
      const counted = new Intl.NumberFormat(locale).format(Number(value));
      return textOf(
        cases[value] ?? cases[formOf(Number(value), locale)] ?? cases.other ?? "",
        values,
        locale,
        counted,
      );
    })
    .join("");
}

function formOf(count: number, locale: string): string {
  let rules = plurals.get(locale);
  if (!rules) {
    rules = new Intl.PluralRules(locale);
    plurals.set(locale, rules);
  }
  return rules.select(count);
}
