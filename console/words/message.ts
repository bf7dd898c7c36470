/**
 * A message as it was compiled when the pages were built (scripts/setup/vite/words.ts): text and values
 * in a row, of which plurals and choices hold others. Lingui's own runtime reads the same and more
 * (dates, several catalogues at once), which no message of ours needs: it is four times as large, on
 * every phone; tests compare the two.
 */
export type Message = readonly (string | Value)[];
type Value = readonly [name: string, type?: string, cases?: Readonly<Record<string, string | Message>>];
export type Values = Readonly<Record<string, string | number>>;

/** By locale: what the browser takes long to make, and a page asks for many times a second. */
const made = new Map<string, [Intl.PluralRules, Intl.NumberFormat]>();

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
      const [rules, figures] = formsOf(locale);
      const count = Number(value);
      return textOf(
        cases[value] ?? cases[rules.select(count)] ?? cases.other ?? "",
        values,
        locale,
        figures.format(count),
      );
    })
    .join("");
}

function formsOf(locale: string): [Intl.PluralRules, Intl.NumberFormat] {
  let forms = made.get(locale);
  if (!forms) {
    forms = [new Intl.PluralRules(locale), new Intl.NumberFormat(locale)];
    made.set(locale, forms);
  }
  return forms;
}
