import { expect, it } from 'vitest';

import { isForApp, keysOfRoom, roomKeysAre } from './keys.svelte';

const plain = { ctrlKey: false, metaKey: false, altKey: false };

it('a letter acts only outside fields and dialogs, and without a modifier', () => {
  expect(isForApp(plain, false, false)).toBe(true);
  expect(isForApp(plain, true, false)).toBe(false);
  expect(isForApp(plain, false, true)).toBe(false);
  for (const key of ['ctrlKey', 'metaKey', 'altKey']) {
    expect(isForApp({ ...plain, [key]: true }, false, false)).toBe(false);
  }
});

it('a room takes its keys with it when it is left', () => {
  const log = { key: 'l', words: () => 'log' };
  const move = { key: 'm', words: () => 'move' };
  const leave = roomKeysAre([log]);
  const leaveOther = roomKeysAre([move]);
  expect(keysOfRoom()).toEqual([log, move]);
  leave();
  expect(keysOfRoom()).toEqual([move]);
  leaveOther();
  expect(keysOfRoom()).toEqual([]);
});
