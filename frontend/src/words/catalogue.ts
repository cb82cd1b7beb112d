/** What a text of the app is, and how values get into it. */

/** The forms of a text that counts; Intl.PluralRules picks one by the value `count`. */
export type Counted = { readonly other: string } & {
  readonly [form in 'zero' | 'one' | 'two' | 'few' | 'many']?: string;
};
export type Text = string | Counted;
export type Value = string | number;

type Names<S> = S extends `${string}{${infer Name}}${infer Rest}` ? Name | Names<Rest> : never;
/** The names in braces that a text wants; a counted text always wants `count` as a number. */
export type Wanted<T> = T extends string
  ? { [name in Names<T>]: Value }
  : T extends Counted
    ? { [name in Names<T[keyof T]>]: Value } & { count: number }
    : never;

/** Another language: the same keys, counted where English is counted. */
export type LikeEnglish<English> = {
  readonly [key in keyof English]: English[key] extends string ? string : Counted;
};

// Making one takes longer than drawing the text it is for.
const numbers = keptBy((locale) => new Intl.NumberFormat(locale));
const plurals = keptBy((locale) => new Intl.PluralRules(locale));

/** A text with its values in place; a name without a value stays in braces, where a test finds it. */
export function filled(text: Text, values: Readonly<Record<string, Value>>, locale: string): string {
  return formOf(text, values['count'], locale).replace(/\{(\w+)\}/g, (whole, name: string) => {
    const value = values[name];
    if (value === undefined) return whole;
    return typeof value === 'number' ? numbers(locale).format(value) : value;
  });
}

function formOf(text: Text, count: Value | undefined, locale: string): string {
  if (typeof text === 'string') return text;
  const form = plurals(locale).select(Number(count ?? 0));
  return text[form] ?? text.other;
}

function keptBy<Kept>(make: (locale: string) => Kept): (locale: string) => Kept {
  const kept = new Map<string, Kept>();
  return (locale) => {
    const found = kept.get(locale) ?? make(locale);
    kept.set(locale, found);
    return found;
  };
}
