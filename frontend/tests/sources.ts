/** The app's own source files, for the checks on them; and planted ones that must be caught. */

import { readdirSync, readFileSync } from 'node:fs';
import { fileURLToPath } from 'node:url';
import { parse, type AST } from 'svelte/compiler';

export interface Source {
  /** From `src/`, with forward slashes: "rooms/yard/Yard.svelte". */
  path: string;
  text: string;
}

const ROOT = fileURLToPath(new URL('../src', import.meta.url));

/** Every script, component and style sheet below src. */
export function sources(): Source[] {
  return readdirSync(ROOT, { recursive: true, encoding: 'utf8' })
    .filter((path) => /\.(ts|svelte|css)$/.test(path))
    .sort()
    .map((path) => ({ path: path.replaceAll('\\', '/'), text: readFileSync(`${ROOT}/${path}`, 'utf8') }));
}

type Node = { type: string; start?: number } & Record<string, unknown>;

/** Every node of a component's template, with the line it begins on; the script and the style are left out. */
export function templateNodes(source: Source): { node: Node; line: number }[] {
  const root: AST.Root = parse(source.text, { modern: true });
  const found: { node: Node; line: number }[] = [];
  const visit = (value: unknown): void => {
    if (Array.isArray(value)) value.forEach(visit);
    else if (value !== null && typeof value === 'object') {
      const node = value as Node;
      if (typeof node.type === 'string') {
        found.push({ node, line: source.text.slice(0, node.start ?? 0).split('\n').length });
      }
      for (const [name, child] of Object.entries(node)) if (name !== 'parent') visit(child);
    }
  };
  visit(root.fragment);
  return found;
}
