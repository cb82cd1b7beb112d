import { afterEach, expect, it, vi } from 'vitest';

import { addressOf, ask, get, onOtherContract, TroubleError, type AnswerOf } from './client';
import { CONTRACT } from './contract';

afterEach(() => vi.unstubAllGlobals());

function answering(status: number, body: unknown, headers: Record<string, string> = {}) {
  const fetched = vi.fn(async (_address: string, _request: RequestInit) => {
    return new Response(typeof body === 'string' ? body : JSON.stringify(body), { status, headers });
  });
  vi.stubGlobal('fetch', fetched);
  return fetched;
}

it('fills the parts of a path and leaves out what is not given', () => {
  const wish = { path: { tree: 'T 1/ü' }, query: { kind: 'stage', before: undefined, limit: 0 } };
  expect(addressOf('/api/trees/{tree}/entries', wish)).toBe(
    '/api/trees/T%201%2F%C3%BC/entries?kind=stage&limit=0',
  );
  expect(addressOf('/api/head')).toBe('/api/head');
});

it('sends a change with the headers that the server asks for, and reading without', async () => {
  const fetched = answering(200, { action: 1, line: 'x', id: null });
  await ask('post', '/api/trees', { body: { name: 'a', species: 'b' } });
  expect(fetched.mock.calls[0]![1]).toMatchObject({
    method: 'POST',
    headers: { 'Content-Type': 'application/json', 'X-Ringwise': '1' },
    body: '{"name":"a","species":"b"}',
  });
  await ask('post', '/api/trees/{tree}/photos', {
    path: { tree: 'T01' },
    query: { view: 'front' },
    body: new Blob(['x'], { type: 'image/png' }),
  });
  expect(fetched.mock.calls[1]![1].headers).toEqual({ 'Content-Type': 'image/png', 'X-Ringwise': '1' });
  await get('/api/head');
  expect(fetched.mock.calls[2]![1].headers).toBeUndefined();
});

it('turns what the server says of an error into one', async () => {
  answering(404, { error: 'not-found', message: 'there is no tree "T99"', where: 'T99' });
  const wrong = await get('/api/trees/{tree}', { path: { tree: 'T99' } }).catch((error: unknown) => error);
  expect(wrong).toBeInstanceOf(TroubleError);
  expect(wrong).toMatchObject({
    status: 404,
    kind: 'not-found',
    message: 'there is no tree "T99"',
    where: 'T99',
  });
});

it.each([
  ['strange', () => answering(502, '<html>')],
  ['strange', () => answering(200, 'no JSON')],
  ['strange', () => answering(400, { message: 7 })],
  ['offline', () => vi.stubGlobal('fetch', () => Promise.reject(new TypeError('failed')))],
])('says %s where there is no answer of the server', async (kind, arrange) => {
  arrange();
  await expect(get('/api/head')).rejects.toMatchObject({ name: 'TroubleError', kind });
});

it('lets an aborted wish end as aborted', async () => {
  vi.stubGlobal('fetch', () => Promise.reject(new DOMException('stopped', 'AbortError')));
  await expect(get('/api/head')).rejects.toMatchObject({ name: 'AbortError' });
});

it('reports a server that speaks another contract', async () => {
  const heard: string[] = [];
  const stop = onOtherContract((served) => heard.push(served));
  answering(200, {}, { 'X-Ringwise-Contract': CONTRACT });
  await get('/api/head');
  answering(200, {}, { 'X-Ringwise-Contract': 'another' });
  await get('/api/head');
  stop();
  await get('/api/head');
  expect(heard).toEqual(['another']);
});

// What the types refuse; checked by `npm run check`, never run.
export async function refusedByTypes(): Promise<void> {
  const head: AnswerOf<'get', '/api/head'> = await get('/api/head');
  head.stamp.toFixed();
  await get('/api/trees');
  // @ts-expect-error the path needs its tree
  await get('/api/trees/{tree}');
  // @ts-expect-error there is no such route
  await get('/api/nothing');
  // @ts-expect-error a revision is needed
  await ask('delete', '/api/entries/{entry}', { path: { entry: 'a' } });
  // @ts-expect-error a tree has no such key
  await ask('post', '/api/trees', { body: { name: 'a', species: 'b', colour: 'c' } });
  // @ts-expect-error a body is needed
  await ask('post', '/api/trees');
  // @ts-expect-error this is only read
  await ask('post', '/api/head');
}
