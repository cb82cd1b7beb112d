import { afterEach, beforeEach, expect, it, vi } from 'vitest';

import { deed, dismiss, isLatest, notices, say, takeBack } from './notices.svelte';

const answers = (body: unknown, status = 200): void => {
  vi.stubGlobal(
    'fetch',
    vi.fn(async () => new Response(JSON.stringify(body), { status })),
  );
};

beforeEach(() => notices().forEach((notice) => dismiss(notice.id)));
afterEach(() => vi.unstubAllGlobals());

it('says what was done and offers only the latest step to be taken back', async () => {
  answers({ error: 'failure', message: '', where: '' }, 500); // the head; not looked at here
  await deed(async () => ({ action: 4, line: 'T01 repotted', id: null }));
  await deed(async () => ({ action: 5, line: 'T02 wired', id: null }));
  expect(notices().map((notice) => notice.line)).toEqual(['T01 repotted', 'T02 wired']);
  expect(notices().map(isLatest)).toEqual([false, true]);
});

it('offers nothing where nothing was stored in the record', () => {
  say('Settings changed');
  expect(notices().map(isLatest)).toEqual([false]);
});

it('says the line of the server when a deed fails, and answers undefined', async () => {
  const { TroubleError } = await import('../api/client');
  const done = await deed(() => Promise.reject(new TroubleError(400, 'range', 'trunk is 9 m.', 'value')));
  expect(done).toBeUndefined();
  expect(notices()).toMatchObject([{ line: 'trunk is 9 m.', isTrouble: true, action: null }]);
});

it('takes back by the server and says what was taken back', async () => {
  answers({ action: 9, line: 'Taken back: T02 wired', id: null });
  say('T02 wired', 8);
  await takeBack(notices()[0]);
  const calls = vi.mocked(fetch).mock.calls.map(([address, request]) => [address, request?.method]);
  expect(calls[0]).toEqual(['/api/undo?step=8', 'POST']);
  expect(notices().map((notice) => notice.line)).toEqual(['Taken back: T02 wired']);
  expect(notices().map(isLatest)).toEqual([false]);
});

it('keeps three lines at most, the newest', () => {
  ['a', 'b', 'c', 'd'].forEach((line) => say(line));
  expect(notices().map((notice) => notice.line)).toEqual(['b', 'c', 'd']);
});
