import { readdirSync } from 'node:fs';
import { describe, expect, it, vi } from 'vitest';

import { filled, type Counted, type Text } from './catalogue';
import { de } from './de';
import { en } from './en';
import { LATE } from './late';
import { fetchTexts, languageFor, speak, t } from './words.svelte';

type Texts = Readonly<Record<string, Text>>;
const rooms = Object.values(LATE);
const whole: Texts = Object.assign({}, en, ...(await Promise.all(rooms.map((room) => room.en()))));
const german: Texts = Object.assign({}, de, ...(await Promise.all(rooms.map((room) => room.de()))));
const CATALOGUES: Record<string, Texts> = { en: whole, de: german };
const forms = (text: Text): string[] => (typeof text === 'string' ? [text] : Object.values(text));
const names = (text: string): string[] => [...text.matchAll(/\{(\w*)\}/g)].map((found) => found[1]!).sort();

function faults(
  english: Readonly<Record<string, Text>>,
  other: Readonly<Record<string, Text>>,
  language: string,
): string[] {
  const found = Object.keys(other)
    .filter((key) => !(key in english))
    .map((key) => `${key} is not in English`);
  const categories = [...new Intl.PluralRules(language).resolvedOptions().pluralCategories].sort();
  for (const [key, text] of Object.entries(english)) {
    const theirs = other[key];
    if (theirs === undefined) {
      found.push(`${key} is missing`);
      continue;
    }
    if (typeof theirs !== typeof text) found.push(`${key} is counted in one language only`);
    if (typeof theirs !== 'string' && String(Object.keys(theirs).sort()) !== String(categories)) {
      found.push(`${key} wants the forms ${categories.join(', ')}`);
    }
    const wanted = new Set(forms(text).flatMap(names));
    wanted.delete('count'); // "one tree" may leave its number out
    for (const form of forms(theirs)) {
      const missing = [...wanted].filter((name) => !names(form).includes(name));
      const strange = names(form).filter((name) => name !== 'count' && !wanted.has(name));
      if (missing.length + strange.length > 0) found.push(`${key} has other names in braces: ${form}`);
      if (form.trim() === '' || form !== form.trim()) found.push(`${key} is empty or has blanks at its ends`);
      if (/[!\p{Extended_Pictographic}]/u.test(form)) found.push(`${key} shouts: ${form}`);
    }
  }
  return found;
}

describe.each(['en', 'de'])('the catalogue %s', (language) => {
  it('has every key of English with the same names, whole forms and a calm tone', () => {
    expect(faults(whole, CATALOGUES[language]!, language)).toEqual([]);
  });
});

it('each file holds the keys of its room alone, and English holds them all', async () => {
  const files = readdirSync(new URL('./en', import.meta.url)).map((name) => name.replace('.ts', ''));
  const all: string[] = [];
  for (const room of files) {
    const texts = Object.values((await import(`./en/${room}.ts`)) as Record<string, Record<string, Text>>);
    const keys = texts.flatMap((part) => Object.keys(part));
    expect(keys.filter((key) => !key.startsWith(`${room}.`))).toEqual([]);
    all.push(...keys);
  }
  expect(all.sort()).toEqual(Object.keys(whole).sort());
});

it.each([
  [{ a: 'x' }, {}],
  [{}, { a: 'x' }],
  [{ a: 'x {y}' }, { a: 'x {z}' }],
  [{ a: { one: 'x', other: 'y' } }, { a: 'y' }],
  [{ a: { one: 'x', other: 'y' } }, { a: { other: 'y' } }],
  [{ a: 'x' }, { a: '' }],
  [{ a: 'x' }, { a: 'x!' }],
] as [Record<string, Text>, Record<string, Text>][])(
  'a planted fault is caught: %j, %j',
  (english, other) => {
    expect(faults(english, other, 'de').length).toBeGreaterThan(0);
  },
);

describe('a text', () => {
  const trees: Counted = { one: '{count} tree at {place}', other: '{count} trees at {place}' };

  it('takes its form from the count and its figures from the language', () => {
    expect(filled(trees, { count: 1, place: 'B' }, 'en')).toBe('1 tree at B');
    expect(filled(trees, { count: 0, place: 'B' }, 'en')).toBe('0 trees at B');
    expect(filled(trees, { count: 1200, place: 'B' }, 'en')).toBe('1,200 trees at B');
    expect(filled(trees, { count: 1200, place: 'B' }, 'de')).toBe('1.200 trees at B');
    expect(filled({ one: 'a', few: 'b', many: 'c', other: 'd' }, { count: 3 }, 'pl')).toBe('b');
  });

  it('leaves a value as it is, braces and markup included', () => {
    expect(filled('{a} {b}', { a: '{b}', b: '<b>$&</b>' }, 'en')).toBe('{b} <b>$&</b>');
    expect(filled('{a} {gone}', { a: 'x' }, 'en')).toBe('x {gone}');
  });

  it('is English before a language is chosen', () => {
    expect(t('house.yard')).toBe('Yard');
    expect(t('house.nowhere_way', { path: '/x' })).toContain('/x');
  });
});

it.each([
  [null, ['fr-FR', 'de-AT', 'en'], 'de'],
  [null, ['fr'], 'en'],
  [null, [], 'en'],
  ['en', ['de'], 'en'],
  ['constructor', ['de'], 'de'],
] as [string | null, string[], string][])(
  'remembered %s and preferred %j give %s',
  (remembered, preferred, wanted) => {
    expect(languageFor(remembered, preferred)).toBe(wanted);
  },
);

describe('the texts of one room alone', () => {
  it('are there once they were fetched, and follow the language', async () => {
    vi.stubGlobal('navigator', { languages: ['en'] });
    vi.stubGlobal('document', { documentElement: { lang: '' } });
    expect(t('futures.in_short')).toBe('futures.in_short');
    await Promise.all([fetchTexts('futures'), fetchTexts('yard')]);
    expect(t('futures.in_short')).toBe('In short');
    await speak('de');
    expect([t('futures.in_short'), t('house.yard')]).toEqual(['Kurz gesagt', 'Garten']);
    await speak('en');
    vi.unstubAllGlobals();
  });
});
