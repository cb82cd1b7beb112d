/** A photo on its way to the server, with how far it is; `fetch` cannot tell that. */

import { addressOf, TroubleError, type Schema } from './client';
import type { PhotoQuery } from './outbox';

const TYPES: Readonly<Record<string, string>> = {
  jpg: 'image/jpeg',
  jpeg: 'image/jpeg',
  png: 'image/png',
  webp: 'image/webp',
  heic: 'image/heic',
  heif: 'image/heif',
};

/** The type of a picture: as the browser says, else by its name (some browsers do not know HEIC). */
export function typeOf(file: Pick<Blob, 'type'>, name: string): string {
  const ending = /\.(\w+)$/.exec(name)?.[1]?.toLowerCase() ?? '';
  return file.type || TYPES[ending] || 'application/octet-stream';
}

/** The local time of a file as the device tells it, without a zone: "2027-03-07T14:05:09". */
export function localTime(moment_ms: number): string {
  const at = new Date(moment_ms);
  const two = (value: number) => String(value).padStart(2, '0');
  const day = `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
  return `${day}T${two(at.getHours())}:${two(at.getMinutes())}:${two(at.getSeconds())}`;
}

/** Sends the bytes of a photo as they are. Rejects with a `TroubleError`. */
export function upload(
  tree: string,
  key: string,
  file: Blob,
  query: PhotoQuery,
  onProgress: (share: number) => void = () => {},
): Promise<Schema<'Done'>> {
  const address = addressOf('/api/trees/{tree}/photos', { path: { tree }, query: { ...query, key } });
  return new Promise((resolve, reject) => {
    const request = new XMLHttpRequest();
    request.open('POST', address);
    request.withCredentials = false;
    request.setRequestHeader('Content-Type', typeOf(file, query.name));
    request.setRequestHeader('X-Ringwise', '1');
    request.upload.onprogress = ({ loaded, total }) => onProgress(total > 0 ? loaded / total : 0);
    request.onerror = () => reject(new TroubleError(0, 'offline', ''));
    request.onload = () => {
      const said = parsed(request.responseText);
      if (request.status === 200 && said) resolve(said as Schema<'Done'>);
      else reject(troubleOf(request.status, said as Partial<Schema<'Trouble'>> | undefined));
    };
    request.send(file);
  });
}

function parsed(text: string): unknown {
  try {
    return JSON.parse(text) as unknown;
  } catch {
    return undefined;
  }
}

function troubleOf(status: number, said: Partial<Schema<'Trouble'>> | undefined): TroubleError {
  if (typeof said?.message === 'string' && typeof said.error === 'string') {
    return new TroubleError(status, said.error, said.message, said.where ?? '');
  }
  return new TroubleError(status, 'strange', '');
}
