/** The language on screen, and `t`, which every text goes through. */

import { filled, type Text, type Wanted } from './catalogue';
import { en } from './en';
import { isLate, LATE, type LateName, type LateTexts } from './late';

type English = typeof en & LateTexts;
export type Key = keyof English;
export type Language = 'en' | 'de';

/** The languages there are, each by its own name. */
export const LANGUAGES: Readonly<Record<Language, string>> = { en: 'English', de: 'Deutsch' };
const REMEMBERED = 'ringwise.language';

type Texts = Readonly<Record<string, Text>>;

let spoken = $state.raw<{ language: Language; locale: string; texts: Texts }>({
  language: 'en',
  locale: 'en',
  texts: en,
});
const late = new Set<LateName>(); // rooms whose own texts are spoken too

/** The text of a key with its values, in the language on screen; a component that calls it follows the language. */
export function t<K extends Key>(
  key: K,
  ...values: {} extends Wanted<English[K]> ? [] : [values: Wanted<English[K]>]
): string {
  return filled(spoken.texts[key] ?? key, values[0] ?? {}, spoken.locale);
}

/** The language on screen. */
export function language(): Language {
  return spoken.language;
}

/** The locale for Intl: what the browser prefers within the language on screen ("en-GB"), else the language. */
export function locale(): string {
  return spoken.locale;
}

async function textsIn(wanted: Language): Promise<Texts> {
  const rooms = [...late];
  const whole: Texts = wanted === 'de' ? (await import('./de')).de : en;
  const own = await Promise.all(rooms.map((room) => LATE[room][wanted]()));
  // a room may have been entered meanwhile
  return late.size > rooms.length ? textsIn(wanted) : Object.assign({}, whole, ...own);
}

/** Fetches what only this room says, in the language on screen; nothing for a room without texts of its own. */
export async function fetchTexts(room: string): Promise<void> {
  if (!isLate(room) || late.has(room)) return;
  const wanted = spoken.language;
  const own = await LATE[room][wanted]();
  if (spoken.language !== wanted) return fetchTexts(room);
  late.add(room);
  spoken = { ...spoken, texts: { ...spoken.texts, ...own } };
}

/** Speaks a language from now on, also after a reload. */
export async function speak(wanted: Language): Promise<void> {
  const texts = await textsIn(wanted);
  const preferred = navigator.languages.find((tag) => tag.split('-')[0] === wanted);
  spoken = { language: wanted, locale: preferred ?? wanted, texts };
  document.documentElement.lang = wanted;
  try {
    localStorage.setItem(REMEMBERED, wanted);
  } catch {
    // private windows may refuse; the language then lasts as long as the page
  }
}

/** The language last spoken here, else the first that the browser asks for and that is there, else English. */
export function languageFor(remembered: string | null, preferred: readonly string[]): Language {
  const tags = [remembered ?? '', ...preferred].map((tag) => tag.split('-')[0] ?? '');
  const found = tags.find((tag) => Object.hasOwn(LANGUAGES, tag));
  return (found as Language | undefined) ?? 'en';
}

/** Finds out the language and fetches its texts; called once, before the first page is drawn. */
export async function startLanguage(): Promise<void> {
  let remembered: string | null = null;
  try {
    remembered = localStorage.getItem(REMEMBERED);
  } catch {
    // as above
  }
  const wanted = languageFor(remembered, navigator.languages);
  try {
    await speak(wanted);
  } catch {
    await speak('en'); // the catalogue could not be fetched; English is always here
  }
}
