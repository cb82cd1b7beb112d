/** The way to the server: typed by the contract, one sort of error, and a notice when the contracts differ. */

import { CONTRACT } from './contract';
import type { components, paths } from './schema';

export type Schemas = components['schemas'];
export type Schema<Name extends keyof Schemas> = Schemas[Name];

export type Method = 'get' | 'post' | 'put' | 'patch' | 'delete';

/** The routes that know a method. */
export type PathOf<M extends Method> = {
  [P in keyof paths]: paths[P][M] extends { responses: unknown } ? P : never;
}[keyof paths];

type Operation<M extends Method, P extends PathOf<M>> = paths[P][M];
type Parameters<Op, Where extends string> = Op extends { parameters: { [W in Where]: infer Given } }
  ? Given
  : Op extends { parameters: { [W in Where]?: infer Given } }
    ? Given
    : undefined;
type Needs<Name extends string, Given> = [Given] extends [undefined]
  ? { [N in Name]?: never }
  : Record<string, never> extends Given
    ? { [N in Name]?: Given }
    : undefined extends Given
      ? { [N in Name]?: Given }
      : { [N in Name]: Given };

/** What a route takes as a body: JSON, or a file for the two routes that take one. */
export type BodyOf<M extends Method, P extends PathOf<M>> =
  Operation<M, P> extends { requestBody: { content: infer Content } }
    ? Content extends { 'application/json': infer Body }
      ? Body
      : Blob
    : undefined;

/** What a route answers. */
export type AnswerOf<M extends Method, P extends PathOf<M>> =
  Operation<M, P> extends { responses: { 200: { content: { 'application/json': infer Answer } } } }
    ? Answer
    : never;

/** What has to be given with a route: parts of its path, its query, its body. */
export type Wish<M extends Method, P extends PathOf<M>> = Needs<'path', Parameters<Operation<M, P>, 'path'>> &
  Needs<'query', Parameters<Operation<M, P>, 'query'>> &
  Needs<'body', BodyOf<M, P>> & { signal?: AbortSignal };

type Args<M extends Method, P extends PathOf<M>> =
  Record<string, never> extends Wish<M, P> ? [wish?: Wish<M, P>] : [wish: Wish<M, P>];

/** What the server says of an error; `offline` where it could not be asked, `strange` where it is no answer of ours. */
export type TroubleKind = Schema<'Trouble'>['error'] | 'offline' | 'strange';

/** An error that a person is told: one line, in their language where it comes from the server. */
export class TroubleError extends Error {
  override readonly name = 'TroubleError';

  constructor(
    readonly status: number,
    readonly kind: TroubleKind,
    message: string,
    readonly where = '',
  ) {
    super(message);
  }
}

type Loose = {
  path?: Record<string, unknown>;
  query?: Record<string, unknown>;
  body?: unknown;
  signal?: AbortSignal;
};

/** The address of a route with its parts filled in; what is undefined or null is left out of the query. */
export function addressOf(path: string, wish: Pick<Loose, 'path' | 'query'> = {}): string {
  const filled = path.replace(/\{(\w+)\}/g, (_whole, name: string) =>
    encodeURIComponent(String(wish.path?.[name] ?? '')),
  );
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(wish.query ?? {})) {
    if (value !== undefined && value !== null) query.set(name, String(value));
  }
  const text = query.toString();
  return text ? `${filled}?${text}` : filled;
}

type Listener = (served: string) => void;
const listeners = new Set<Listener>();

/** Be told when the server speaks another contract than this app was built for; returns how to stop that. */
export function onOtherContract(listener: Listener): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** Ask the server. Rejects with a `TroubleError`, or with the `AbortError` of the signal. */
export async function ask<M extends Method, P extends PathOf<M>>(
  method: M,
  path: P,
  ...[wish]: Args<M, P>
): Promise<AnswerOf<M, P>> {
  const given = (wish ?? {}) as Loose;
  const address = addressOf(path, given);
  const { response, body } = await reached(
    firstRead(method, address) ?? fetched(address, requestOf(method, given)),
  );
  const served = response.headers.get('X-Ringwise-Contract');
  if (served !== null && served !== CONTRACT) listeners.forEach((listener) => listener(served));
  if (!response.ok) throw await troubleOf(response);
  if (body !== undefined) return body as AnswerOf<M, P>;
  try {
    return (await response.json()) as AnswerOf<M, P>;
  } catch (wrong) {
    throw isAbort(wrong) ? wrong : new TroubleError(response.status, 'strange', '');
  }
}

/** Read something. */
export function get<P extends PathOf<'get'>>(path: P, ...wish: Args<'get', P>): Promise<AnswerOf<'get', P>> {
  return ask('get', path, ...wish);
}

/** Read a file, such as a mesh. */
export async function bytes<P extends PathOf<'get'>>(
  path: P,
  ...[wish]: Args<'get', P>
): Promise<ArrayBuffer> {
  const given = (wish ?? {}) as Loose;
  const { response } = await reached(fetched(addressOf(path, given), requestOf('get', given)));
  if (!response.ok) throw await troubleOf(response);
  return response.arrayBuffer();
}

function requestOf(method: Method, { body, signal }: Loose): RequestInit {
  const request: RequestInit = { method: method.toUpperCase(), credentials: 'omit' };
  if (signal !== undefined) request.signal = signal;
  if (method === 'get') return request;
  const isFile = body instanceof Blob;
  const sort = isFile ? body.type : 'application/json';
  request.headers = { 'Content-Type': sort, 'X-Ringwise': '1' };
  if (isFile) request.body = body;
  else if (body !== undefined) request.body = JSON.stringify(body);
  return request;
}

type Read = { response: Response; body?: unknown };

async function fetched(address: string, request: RequestInit): Promise<Read> {
  return { response: await fetch(address, request) };
}

async function reached(read: Promise<Read>): Promise<Read> {
  try {
    return await read;
  } catch (wrong) {
    throw isAbort(wrong) ? wrong : new TroubleError(0, 'offline', '');
  }
}

declare global {
  /** What `public/first.js` asked for before the app was there, by address. */
  var ringwiseFirst: Record<string, Promise<Read>> | undefined;
}

/** An answer that is under way since before the app was there; each is read once. */
function firstRead(method: Method, address: string): Promise<Read> | undefined {
  const first = method === 'get' ? globalThis.ringwiseFirst?.[address] : undefined;
  if (first) delete globalThis.ringwiseFirst![address];
  return first;
}

/** Resolves when all that was asked for before the app was there has come or failed. */
export async function firstReadsCame(): Promise<void> {
  await Promise.allSettled(Object.values(globalThis.ringwiseFirst ?? {}));
}

function isAbort(wrong: unknown): boolean {
  return wrong instanceof DOMException && wrong.name === 'AbortError';
}

async function troubleOf(response: Response): Promise<TroubleError> {
  try {
    const said = (await response.json()) as Partial<Schema<'Trouble'>>;
    if (typeof said.message === 'string' && typeof said.error === 'string') {
      return new TroubleError(response.status, said.error, said.message, said.where ?? '');
    }
  } catch (wrong) {
    if (isAbort(wrong)) throw wrong;
  }
  return new TroubleError(response.status, 'strange', '');
}

/** The address of a small picture of a photo. */
export function thumbOf(sha256: string, width_px: 256 | 800 | 1600): string {
  return `/photos/${sha256}/${width_px}.webp`;
}

/** A key for an entry that is about to be sent: sent twice, it is stored once. */
export function freshKey(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(12));
  return Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('');
}
