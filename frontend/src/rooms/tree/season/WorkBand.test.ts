import { render } from 'svelte/server';
import { describe, expect, it } from 'vitest';

import page from '../../../api/snapshots/SeasonLine.json';
import type { Schema } from '../../../api/client';
import { isNear } from '../../../core/season/near';
import { yearScale } from '../../../core/season/scale';
import WorkBand from './WorkBand.svelte';

const season = page as unknown as Schema<'SeasonLine'>;
const repot = season.works.find((work) => work.carry_in_words && work.risks.length)!;
const scale = yearScale(season.first, season.days, 640);

function shown(today: string, change: Partial<Schema<'SeasonWork'>>): string {
  const work = { ...repot, ...change };
  const { body } = render(WorkBand, { props: { work, scale, today, todayAt: scale.at(today) } });
  return body.replace(/<!--.*?-->|<[^>]*>/g, ' ').replace(/\s+/g, ' ');
}

const ahead = {
  state: 'ahead' as const,
  sentence: 'opens soon', // the window's own names a risk too
  opens: { ...repot.opens!, low: '2027-03-10' },
  work_on: '2027-04-02',
};

describe('WorkBand', () => {
  it('says of which day of work risks and carrying in are told', () => {
    const told = shown('2027-03-07', ahead);
    const [head, risk, carry] = [
      'If done on Apr 2, 2027:',
      repot.risks[0]!.sentence,
      repot.carry_in_words,
    ].map((text) => told.indexOf(text)) as [number, number, number];
    expect(head).toBeGreaterThan(0);
    expect(risk).toBeGreaterThan(head);
    expect(carry).toBeGreaterThan(risk);
  });

  it('keeps quiet of carrying in while the work is far away', () => {
    const far = shown('2027-02-07', ahead); // 31 days before
    expect(far).toContain('If done on Apr 2, 2027:');
    expect(far).not.toContain(repot.carry_in_words);
    expect(shown('2027-02-08', ahead)).toContain(repot.carry_in_words);
    expect(shown('2027-02-07', { ...ahead, state: 'open' })).toContain(repot.carry_in_words);
  });

  it('has no such line where no day of work is told', () => {
    expect(shown('2027-03-07', { risks: [], carry_in_words: '' })).not.toContain('If done on');
  });
});

describe('isNear', () => {
  it('is neither over nor blocked nor without days', () => {
    const opens = { low: '2027-03-10' };
    expect(isNear({ state: 'closed', opens }, '2027-03-07')).toBe(false);
    expect(isNear({ state: 'blocked', opens }, '2027-03-07')).toBe(false);
    expect(isNear({ state: 'ahead', opens: null }, '2027-03-07')).toBe(false);
  });
});
