import { execFileSync } from 'node:child_process';
import { readdirSync } from 'node:fs';

import { describe, expect, it } from 'vitest';

import type { Schemas } from '../src/api/client';
import { snapshot, validators } from './validators';

const SNAPSHOTS = new URL('../src/api/snapshots/', import.meta.url);
const names = readdirSync(SNAPSHOTS).map((file) => file.replace('.json', '') as keyof Schemas);
const validatorOf = validators();

describe('what the server answers', () => {
  it('is recorded', () => expect(names.length).toBeGreaterThan(15));

  it.each(names)('is as the contract says: %s', (name) => {
    const validate = validatorOf(name);
    validate(snapshot(name));
    expect(validate.errors ?? []).toEqual([]);
  });

  it.each(names.filter((name) => name !== 'Jobs'))('has no other keys and none less: %s', (name) => {
    const validate = validatorOf(name);
    const said = snapshot(name) as Record<string, unknown>;
    expect(validate({ ...said, planted: 1 })).toBe(false);
    const [first = ''] = Object.keys(said);
    const less = Object.fromEntries(Object.entries(said).filter(([key]) => key !== first));
    expect(validate(less)).toBe(false);
  });
});

it('the types of the app are made from the contract as it is now', () => {
  expect(() => execFileSync('npm', ['run', '--silent', 'check:api'], { stdio: 'pipe' })).not.toThrow();
}, 60_000);
