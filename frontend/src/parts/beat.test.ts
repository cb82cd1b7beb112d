import { expect, it } from 'vitest';

import { NOTHING_SEEN, onReach, onStamp } from './beat';

it('a step is news once, and never when it is older than what was seen', () => {
  const first = onStamp(NOTHING_SEEN, 7);
  expect(first.isNews).toBe(true);
  expect(onStamp(first.seen, 7).isNews).toBe(false);
  const old = onStamp(first.seen, 5);
  expect(old.isNews).toBe(false);
  expect(onStamp(old.seen, 7).isNews).toBe(false); // the older one did not wind it back
  expect(onStamp(old.seen, 8).isNews).toBe(true);
});

it('being reached is news only after a cut', () => {
  const opened = onReach(NOTHING_SEEN, true);
  expect(opened.isNews).toBe(false);
  const cut = onReach(opened.seen, false);
  expect(cut.isNews).toBe(false);
  const back = onReach(cut.seen, true);
  expect(back.isNews).toBe(true);
  expect(onReach(back.seen, true).isNews).toBe(false);
});
