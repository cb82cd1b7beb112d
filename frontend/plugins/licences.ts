import { readFileSync } from 'node:fs';
import type { Plugin } from 'vite';

const PACKAGES = new URL('../node_modules/', import.meta.url);
const PARTS = {
  'barlow-licence.txt': '@fontsource/barlow/LICENSE',
  'svelte-licence.txt': 'svelte/LICENSE.md',
  'three-licence.txt': 'three/LICENSE',
};

/** Ships the licence of the font and of the code that runs in the browser beside what it covers. */
export function licences(): Plugin {
  return {
    name: 'licences',
    apply: 'build',
    generateBundle() {
      for (const [name, path] of Object.entries(PARTS)) {
        const text = readFileSync(new URL(path, PACKAGES), 'utf8');
        this.emitFile({ type: 'asset', fileName: `assets/${name}`, source: text });
      }
    },
  };
}
