/** What is typed of an entry: a blank one, one to be corrected, and the one that is sent. */

import type { Schema } from '../api/client';
import { withUnit, type Amount, type Units } from '../core/units';

/** As the server takes it, with every field there. */
export type Given = Required<Schema<'EntryGiven'>>;
export type What = Given['what'];

/** An entry with nothing typed yet. */
export function blank(what: What, change: Partial<Schema<'EntryGiven'>> = {}): Given {
  return {
    what,
    value: '',
    date: '',
    extent: '',
    not_before: '',
    at: '',
    root_removed: '',
    pot: '',
    mix: '',
    minutes: '',
    reason: '',
    view: '',
    when: '',
    review: '',
    note: '',
    by: null,
    confirmed_by: null,
    key: null,
    ...change,
  };
}

/** An entry as it would be typed again. */
export function again(given: Schema<'EntryGiven'>): Given {
  return blank(given.what, given);
}

const AMOUNTS: Partial<Record<What, Amount>> = {
  girth: 'girth',
  trunk: 'trunk',
  height: 'height',
  weight: 'weight',
  drain: 'drain',
  wound: 'wound',
};
const MEASURED_AT = new Set<What>(['girth', 'trunk']);

/** The sort of amount that the value of an entry is; undefined where it is none with a unit. */
export function amountOf(what: What): Amount | undefined {
  return AMOUNTS[what];
}

/** An entry ready to be sent: bare numbers have their unit, words are trimmed, a blank day is today. */
export function ready(given: Given, units: Units, today: string): Given {
  const trimmed = Object.fromEntries(
    Object.entries(given).map(([name, text]) => [name, typeof text === 'string' ? text.trim() : text]),
  ) as Given;
  const amount = amountOf(given.what);
  return {
    ...trimmed,
    value: amount ? withUnit(trimmed.value, amount, units) : trimmed.value,
    at: MEASURED_AT.has(given.what) && trimmed.at ? withUnit(trimmed.at, 'at', units) : trimmed.at,
    root_removed:
      /^\d+([.,]\d+)?$/.test(trimmed.root_removed) && Number(trimmed.root_removed.replace(',', '.')) > 1
        ? `${trimmed.root_removed}%`
        : trimmed.root_removed,
    minutes: /^\d+$/.test(trimmed.minutes) ? `${trimmed.minutes} min` : trimmed.minutes,
    date: trimmed.date || today,
  };
}

/** Two thicknesses of a graft as one text, each with its unit; and back. */
export function graftPair(before: string, beyond: string, units: Units): string {
  return `${withUnit(before, 'graft', units)}/${withUnit(beyond, 'graft', units)}`;
}

export function graftParts(value: string): [before: string, beyond: string] {
  const [before = '', beyond = ''] = value.split('/');
  return [before.trim(), beyond.trim()];
}

/** The place of a wound as one text, height with its unit and the way it faces where that is known; and back. */
export function woundPlace(height: string, clock: string, units: Units): string {
  const high = withUnit(height, 'at', units);
  return clock.trim() ? `${high}, ${clock.trim()}` : high;
}

export function woundPlaceParts(at: string): [height: string, clock: string] {
  const [height = '', clock = ''] = at.split(/,\s+/);
  return [height.trim(), clock.trim()];
}
