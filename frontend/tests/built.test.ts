import { execFileSync } from 'node:child_process';
import { mkdtempSync, readdirSync, readFileSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { brotliDecompressSync, gunzipSync, gzipSync } from 'node:zlib';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';

const HERE = fileURLToPath(new URL('..', import.meta.url));
const MOST_bytes = 90 * 1024; // first page: scripts and styles, packed
const MOST_SCENE_bytes = 170 * 1024;
const PLACES = [
  'today/Today',
  'yard/Yard',
  'tree/Tree',
  'pot/Pot',
  'shape/Shape',
  'futures/Futures',
  'start/Start',
  'settings/Settings',
  'weather/Weather',
];

type Chunk = { file: string; imports?: string[]; css?: string[] };
type Files = Map<string, Buffer>;

let folder = '';
let first: Files;
let second: Files;
let chunks: Record<string, Chunk>;

/** The app as it is shipped, built into a folder of its own. */
function built(name: string): Files {
  const out = join(folder, name);
  const { NODE_ENV: _mode, VITEST: _test, ...environment } = process.env;
  execFileSync(
    process.execPath,
    [
      join(HERE, 'node_modules/vite/bin/vite.js'),
      'build',
      '--outDir',
      out,
      '--emptyOutDir',
      '--manifest',
      '--logLevel',
      'error',
    ],
    { cwd: HERE, env: environment },
  );
  const files = readdirSync(out, { recursive: true, encoding: 'utf8' }).filter((path) =>
    statSync(join(out, path)).isFile(),
  );
  return new Map(files.sort().map((path) => [path, readFileSync(join(out, path))]));
}

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'ringwise-app-'));
  first = built('first');
  second = built('second');
  chunks = JSON.parse(String(first.get('.vite/manifest.json'))) as Record<string, Chunk>;
}, 120_000);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Every file that a chunk needs before it runs. */
function needs(key: string, seen = new Set<string>()): Set<string> {
  const chunk = chunks[key];
  if (!chunk) throw new Error(`${key} was not built`);
  if (seen.has(chunk.file)) return seen;
  seen.add(chunk.file);
  chunk.css?.forEach((file) => seen.add(file));
  chunk.imports?.forEach((other) => needs(other, seen));
  return seen;
}

it('two builds give the same bytes', () => {
  expect([...second.keys()]).toEqual([...first.keys()]);
  expect([...first.keys()].filter((path) => !first.get(path)!.equals(second.get(path)!))).toEqual([]);
});

describe.each(PLACES)('%s as the first page', (place) => {
  it('stays within the budget, in the larger language', () => {
    const own = `src/words/de/${place.split('/')[0]}.ts`; // a room's own texts, where they are fetched with it
    const files = needs(`src/rooms/${place}.svelte`, needs('src/words/de.ts', needs('index.html')));
    if (chunks[own]) needs(own, files);
    const packed = [...files].map((file) => gzipSync(first.get(file)!, { level: 9 }).length);
    const total = packed.reduce((sum, bytes) => sum + bytes, 0);
    expect(total).toBeGreaterThan(5 * 1024); // something was counted
    expect(total).toBeLessThanOrEqual(MOST_bytes);
  });

  it('is fetched only when it is entered', () => {
    expect(needs('index.html')).not.toContain(chunks[`src/rooms/${place}.svelte`]!.file);
  });
});

it('what draws in space is fetched by no page before it is needed, and is no larger than its budget', () => {
  const scene = chunks['src/scene/scene.ts']!.file;
  for (const place of PLACES) expect(needs(`src/rooms/${place}.svelte`), place).not.toContain(scene);
  const packed = [...needs('src/scene/scene.ts')]
    .filter((file) => !needs('index.html').has(file))
    .reduce((sum, file) => sum + gzipSync(first.get(file)!, { level: 9 }).length, 0);
  expect(packed).toBeGreaterThan(50 * 1024); // three.js is in it
  expect(packed).toBeLessThanOrEqual(MOST_SCENE_bytes);
});

it('German is fetched only when it is spoken', () => {
  expect(needs('index.html')).not.toContain(chunks['src/words/de.ts']!.file);
});

it('the page has no script, style or handler of its own and asks no other host', () => {
  const page = String(first.get('index.html'));
  expect(page).not.toMatch(/<style|\sstyle=|\son\w+=|javascript:/i);
  expect([...page.matchAll(/<script\b[^>]*>([^<]*)</g)].map((found) => found[1]!.trim()).join('')).toBe('');
  for (const [path, bytes] of first) {
    if (!/\.(html|css|js)$/.test(path)) continue;
    const hosts = [
      ...String(bytes).matchAll(
        /(?:href|src)=["'](?:https?:)?\/\/|url\(["']?(?:https?:)?\/\/|@import ["']http|fetch\(["']http/g,
      ),
    ];
    expect(hosts, path).toEqual([]);
    expect(
      path.endsWith('.css') && /url\(["']?data:/.test(String(bytes)),
      `${path} holds a data: address`,
    ).toBe(false);
  }
});

it('every text file over 1 KB has packed copies that unpack to it', () => {
  const texts = [...first.keys()].filter((path) => /\.(css|html|js|json|svg|txt)$/.test(path));
  const large = texts.filter((path) => first.get(path)!.length > 1024);
  expect(large.length).toBeGreaterThan(3);
  for (const path of large) {
    expect(gunzipSync(first.get(`${path}.gz`)!).equals(first.get(path)!), path).toBe(true);
    expect(brotliDecompressSync(first.get(`${path}.br`)!).equals(first.get(path)!), path).toBe(true);
  }
});

it('what is loaded by name carries a hash of its bytes, and the licences lie beside the font and the code', () => {
  const named = [...first.keys()].filter(
    (path) => path.startsWith('assets/') && !/licence\.txt(\.|$)/.test(path),
  );
  expect(named.filter((path) => !/-[\w-]{8}\.\w+(\.gz|\.br)?$/.test(path))).toEqual([]);
  expect(named.filter((path) => path.endsWith('.woff2'))).toHaveLength(8);
  expect(String(first.get('assets/barlow-licence.txt'))).toContain('SIL OPEN FONT LICENSE Version 1.1');
  for (const code of ['svelte', 'three']) {
    expect(String(first.get(`assets/${code}-licence.txt`))).toContain('Permission is hereby granted');
  }
});
