import { afterEach, expect, test, vi } from 'vitest';
import { listen, waitAfter } from './events';

const streams: FakeStream[] = [];

class FakeStream extends EventTarget {
  isOpen = true;

  constructor(readonly address: string) {
    super();
    streams.push(this);
  }

  close(): void {
    this.isOpen = false;
  }
}

let isHidden = false;
const page = Object.assign(new EventTarget(), {});
Object.defineProperty(page, 'hidden', { get: () => isHidden });

function turn(hidden: boolean): void {
  isHidden = hidden;
  document.dispatchEvent(new Event('visibilitychange'));
}

afterEach(() => {
  vi.unstubAllGlobals();
  vi.useRealTimers();
  streams.length = 0;
  isHidden = false;
});

const open = (): number => streams.filter((stream) => stream.isOpen).length;

test('a tab that is not seen holds no stream, and one stream again when it is seen', () => {
  vi.stubGlobal('EventSource', FakeStream);
  vi.stubGlobal('document', page);
  const stop = listen({});
  expect(open()).toBe(1);
  turn(true);
  expect(open()).toBe(0);
  turn(false);
  turn(false);
  expect(open()).toBe(1);
  stop();
  turn(true);
  turn(false);
  expect(open()).toBe(0);
});

test('a broken stream is opened again after a while, once, and never by a tab that is not seen', () => {
  vi.useFakeTimers();
  vi.stubGlobal('EventSource', FakeStream);
  vi.stubGlobal('document', page);
  const reached: boolean[] = [];
  const stop = listen({ reach: (isReached) => reached.push(isReached) });
  streams[0]?.dispatchEvent(new Event('error'));
  expect([open(), reached]).toEqual([0, [false]]);
  vi.advanceTimersByTime(waitAfter(1));
  expect(open()).toBe(1);
  streams[1]?.dispatchEvent(new Event('error'));
  turn(true);
  vi.advanceTimersByTime(60_000);
  expect(open()).toBe(0);
  turn(false);
  expect(open()).toBe(1);
  stop();
});
