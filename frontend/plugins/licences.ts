import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Plugin } from 'vite';

const PARTS = {
  'barlow-licence.txt': '@fontsource/barlow/LICENSE',
  'svelte-licence.txt': 'svelte/LICENSE.md',
};

/** Ships the licence of the font and of the code that runs in the browser beside what it covers. */
export function licences(): Plugin {
  const locate = createRequire(import.meta.url);
  return {
    name: 'licences',
    apply: 'build',
    generateBundle() {
      for (const [name, path] of Object.entries(PARTS)) {
        const folder = locate.resolve(`${path.slice(0, path.lastIndexOf('/'))}/package.json`);
        const file = path.slice(path.lastIndexOf('/') + 1);
        const text = readFileSync(folder.replace(/package\.json$/, file), 'utf8');
        this.emitFile({ type: 'asset', fileName: `assets/${name}`, source: text });
      }
    },
  };
}
