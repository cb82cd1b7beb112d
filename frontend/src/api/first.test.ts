import { readFileSync } from 'node:fs';
import { runInNewContext } from 'node:vm';
import { afterEach, expect, it, vi } from 'vitest';

import { placeOf } from '../core/paths';
import { get, TroubleError } from './client';

const EARLY = readFileSync(new URL('../../public/first.js', import.meta.url), 'utf8');

type Page = { files: string[]; asked: string[]; first: typeof globalThis.ringwiseFirst };

/** What the script asks for on an address of the app. */
function opened(pathname: string, answer: (address: string) => Promise<Response>): Page {
  const page: Page = { files: [], asked: [], first: undefined };
  const window: { ringwiseFirst?: Page['first'] } = {};
  const fetch = (address: string): Promise<Response> => {
    page.asked.push(address);
    return answer(address);
  };
  const document = {
    documentElement: { dataset: {} },
    currentScript: { dataset: { today: '/a.js /b.js', tree: '/c.js' } },
    createElement: () => ({}),
    head: { append: ({ href, rel }: { href: string; rel: string }) => page.files.push(`${rel} ${href}`) },
  };
  const localStorage = { getItem: () => null };
  runInNewContext(EARLY, { window, location: { pathname }, localStorage, document, fetch });
  page.first = window.ringwiseFirst;
  return page;
}

const json = async (): Promise<Response> => Response.json({ stamp: 7 });

afterEach(() => {
  globalThis.ringwiseFirst = undefined;
  vi.unstubAllGlobals();
});

it.each([
  ['/', 'today', ['/api/head', '/api/today']],
  ['/yard', 'yard', ['/api/head', '/api/yard']],
  ['/yard/', 'yard', ['/api/head', '/api/yard']],
  ['/tree/T%2F1', 'tree', ['/api/head', '/api/trees/T%2F1', '/api/trees/T%2F1/dial']],
  ['/tree/T%2F1/pot', 'pot', ['/api/head', '/api/trees/T%2F1/pot']],
  ['/tree/T%2F1/futures', 'futures', ['/api/head', '/api/trees/T%2F1/turning']],
  ['/start', 'start', ['/api/head', '/api/settings']],
  ['/settings', 'settings', ['/api/head', '/api/settings']],
  ['/tree/', 'unknown', []],
  ['/elsewhere', 'unknown', []],
])('%s is known as %s, and what that room reads is asked for at once', (path, room, asked) => {
  expect(opened(path, json).asked).toEqual(asked);
  expect(placeOf(path).room).toBe(room);
});

it('fetches the files of the room that is asked for, and of no other', () => {
  expect(opened('/', json).files).toEqual(['modulepreload /a.js', 'modulepreload /b.js']);
  expect(opened('/tree/T01', json).files).toEqual(['modulepreload /c.js']);
  expect(opened('/yard', json).files).toEqual([]);
});

it('an answer that is under way is read once; the next question goes to the server', async () => {
  globalThis.ringwiseFirst = opened('/', json).first;
  const later = vi.fn(async () => Response.json({ stamp: 8 }));
  vi.stubGlobal('fetch', later);
  expect(await get('/api/head')).toEqual({ stamp: 7 });
  expect(later).not.toHaveBeenCalled();
  expect(await get('/api/head')).toEqual({ stamp: 8 });
});

it('a refusal and a server that is away are told as ever', async () => {
  const refused = { error: 'missing', message: 'No such tree.', where: 'tree' };
  globalThis.ringwiseFirst = opened('/tree/T9', async (address) => {
    if (address === '/api/head') throw new TypeError('away');
    return Response.json(refused, { status: 404 });
  }).first;
  const wrong = await get('/api/trees/{tree}', { path: { tree: 'T9' } }).catch((error: unknown) => error);
  expect(wrong).toMatchObject({ status: 404, message: 'No such tree.' });
  const away = await get('/api/head').catch((error: unknown) => error);
  expect(away).toBeInstanceOf(TroubleError);
  expect(away).toMatchObject({ kind: 'offline' });
});
