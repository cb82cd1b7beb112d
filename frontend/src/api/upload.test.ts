import { describe, expect, it } from 'vitest';

import { localTime, typeOf } from './upload';

describe('a file on its way', () => {
  it.each([
    ['image/jpeg', 'a.heic', 'image/jpeg'],
    ['', 'IMG_1.HEIC', 'image/heic'],
    ['', 'a.b.JPG', 'image/jpeg'],
    ['', 'a', 'application/octet-stream'],
  ])('of type "%s" named %s is sent as %s', (type, name, sent) => {
    expect(typeOf({ type }, name)).toBe(sent);
  });

  it('has the local time of the device, without a zone', () => {
    const at = new Date(2027, 2, 7, 4, 5, 9);
    expect(localTime(at.getTime())).toBe('2027-03-07T04:05:09');
  });
});
