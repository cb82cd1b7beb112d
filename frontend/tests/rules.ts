/** What holds in every source file of the app. Each rule returns the faults it finds. */

import { posix } from 'node:path';

import { templateNodes, type Source } from './sources';

/** Which folders a folder may import from; what lies in src itself joins them all. */
const MAY_IMPORT: Record<string, readonly string[]> = {
  core: [],
  words: [],
  look: [],
  api: ['core'],
  parts: ['core', 'api', 'words', 'look'],
  scene: ['core'],
  rooms: ['core', 'api', 'words', 'look', 'parts', 'scene'],
};
const PACKAGES = /^(svelte($|\/)|@fontsource\/barlow\/)/;
const IN_SCENE = /^three$/; // drawing in space: nowhere else
const IN_TESTS = /^(vitest|fake-indexeddb|node:)/;
const IMPORT = /(?:(?<![.\w])from|\bimport|\bimport\(|@import|url\()\s*['"]([^'"]+)['"]/g;
const MOST_LINES = 400;

/** Folders import only from below; no room knows another; packages are on the list; core knows none at all. */
export function importDirections({ path, text }: Source): string[] {
  const folder = path.includes('/') ? path.split('/')[0]! : '';
  const faults: string[] = [];
  for (const [, target = ''] of text.matchAll(IMPORT)) {
    if (!target.startsWith('.')) {
      const allowed = folder === 'core' ? /^$/ : folder === 'scene' ? IN_SCENE : PACKAGES;
      const tested = path.endsWith('.test.ts') && IN_TESTS.test(target);
      if (!allowed.test(target) && !tested) faults.push(`${path} imports the package ${target}`);
      continue;
    }
    const parts = posix.join(posix.dirname(path), target).split('/');
    if (parts[0] === '..') faults.push(`${path} imports ${target}, which lies outside src`);
    else if (folder === '' || parts[0] === folder) {
      const strange = folder === 'rooms' && parts[1] !== path.split('/')[1];
      if (strange) faults.push(`${path} imports ${target}: a room knows no other room`);
    } else if (!(MAY_IMPORT[folder] ?? []).includes(parts.length > 1 ? parts[0]! : '')) {
      faults.push(
        `${path} imports ${target}: ${folder} may import ${MAY_IMPORT[folder]?.join(', ') || 'nothing'}`,
      );
    }
  }
  return faults;
}

/** What draws in space is large: it is fetched when it is first needed, and only its types are named before. */
export function sceneIsFetched({ path, text }: Source): string[] {
  if (path.startsWith('scene/')) return [];
  const named = text.matchAll(/^\s*(import|export)\s+(?!type\b)[^;]*?from\s+['"][^'"]*\/scene\/[^'"]*['"]/gm);
  const bare = text.matchAll(/^\s*import\s+['"][^'"]*\/scene\/[^'"]*['"]/gm);
  return [...named, ...bare].map((found) => `${path} imports the scene at once: ${found[0].trim()}`);
}

/** Every folder has its line in the list above. */
export function knownFolder({ path }: Source): string[] {
  const folder = path.split('/')[0]!;
  return path.includes('/') && !(folder in MAY_IMPORT) ? [`${path}: no rule for the folder ${folder}`] : [];
}

/**
 * What the content security policy refuses: a style attribute that is plain text ends up in the markup that
 * the compiled component clones. With a value in it (`style={x}`, `style:width="4px"`) it is set as a property.
 */
export function policy(source: Source): string[] {
  const { path, text } = source;
  const faults = [
    ...text.matchAll(
      /\b(innerHTML|outerHTML|insertAdjacentHTML|document\.write)\b|\beval\(|new Function\(|setAttribute\(\s*['"]style/g,
    ),
  ].map((found) => `${path}: ${found[0]} puts text where the policy refuses it`);
  if (!path.endsWith('.svelte')) return faults;
  for (const { node, line } of templateNodes(source)) {
    if (node.type === 'HtmlTag') faults.push(`${path}:${line} {@html} puts text where the policy refuses it`);
    if (node.type !== 'Attribute') continue;
    if (node['name'] === 'style' && isPlain(node['value']))
      faults.push(`${path}:${line} plain style attribute`);
    if (/^on/.test(String(node['name'])) && isPlain(node['value']))
      faults.push(`${path}:${line} plain handler`);
  }
  return faults;
}

const SPOKEN = new Set(['alt', 'aria-description', 'aria-label', 'aria-placeholder', 'aria-roledescription', 'aria-valuetext', 'label', 'placeholder', 'title']); // prettier-ignore
const WORD = /\p{L}{2,}/u;

/** A word that a user reads comes from the catalogue, never from the template. */
export function wordsFromCatalogue(source: Source): string[] {
  if (!source.path.endsWith('.svelte')) return [];
  const nodes = templateNodes(source);
  const inAttributes = new Set<unknown>();
  const faults: string[] = [];
  for (const { node, line } of nodes) {
    if (node.type === 'Attribute' || node.type === 'StyleDirective') {
      const texts = textsOf(node['value']);
      texts.forEach((text) => inAttributes.add(text));
      const said = texts.map((text) => String(text['data'])).join(' ');
      if (SPOKEN.has(String(node['name'])) && WORD.test(said))
        faults.push(`${source.path}:${line} ${node['name']}: ${said}`);
    }
  }
  for (const { node, line } of nodes) {
    if (node.type === 'Text' && !inAttributes.has(node) && WORD.test(String(node['data']))) {
      faults.push(`${source.path}:${line} ${String(node['data']).trim()}`);
    }
  }
  return faults;
}

/** A file stays one that can be read at a sitting, its style counted apart; what is generated is left out. */
export function length({ path, text }: Source): string[] {
  if (path === 'api/schema.ts') return [];
  const style = path.endsWith('.svelte') ? (/^<style[\s\S]*?^<\/style>\n?/m.exec(text)?.[0] ?? '') : '';
  const lines = [text.replace(style, ''), style].map((part) => part.split('\n').length - 1);
  return lines
    .filter((count) => count > MOST_LINES)
    .map((count) => `${path}: ${count} lines, at most ${MOST_LINES}`);
}

type Part = { type: string } & Record<string, unknown>;

function textsOf(value: unknown): Part[] {
  return Array.isArray(value) ? (value as Part[]).filter((part) => part.type === 'Text') : [];
}

function isPlain(value: unknown): boolean {
  return Array.isArray(value) && (value as Part[]).every((part) => part.type === 'Text');
}
