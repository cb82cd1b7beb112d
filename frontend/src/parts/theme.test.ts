import { readFileSync } from 'node:fs';
import { runInNewContext } from 'node:vm';
import { expect, it } from 'vitest';

import { themeOf } from './theme.svelte';

const EARLY = readFileSync(new URL('../../public/first.js', import.meta.url), 'utf8');

/** What the script before the first paint sets, for what a device keeps. */
function early(kept: Record<string, string>): string | undefined {
  const dataset: Record<string, string> = {};
  const localStorage = { getItem: (key: string) => kept[key] ?? null };
  const location = { pathname: '/no-room' };
  runInNewContext(EARLY, { location, localStorage, document: { documentElement: { dataset } } });
  return dataset['theme'];
}

it.each([
  ['dark', 'dark'],
  ['light', 'light'],
  ['purple', undefined],
])('a kept theme %s is set before the first paint as the app sets it', (kept, set) => {
  expect(early({ 'ringwise.theme': kept })).toBe(set);
  expect(themeOf(kept)).toBe(set ?? 'device');
});

it('nothing kept, or nothing to be read, leaves the theme to the device', () => {
  expect(early({})).toBeUndefined();
  expect(themeOf(null)).toBe('device');
  const dataset = {};
  const location = { pathname: '/no-room' };
  runInNewContext(EARLY, { location, document: { documentElement: { dataset } } });
  expect(dataset).toEqual({});
});
