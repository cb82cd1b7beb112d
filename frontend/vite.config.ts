import { svelte } from '@sveltejs/vite-plugin-svelte';
import { defineConfig } from 'vitest/config';

import { licences } from './plugins/licences.ts';
import { preload } from './plugins/preload.ts';
import { precompressed } from './plugins/precompressed.ts';

// The server hands out what is built here; the folder is never committed.
export default defineConfig({
  plugins: [svelte(), licences(), preload(), precompressed()],
  build: {
    outDir: '../src/ringwise/faces/web/static',
    emptyOutDir: true,
    assetsInlineLimit: 0, // a font or picture inside the style sheet would need data: in the policy
    modulePreload: { polyfill: false },
    reportCompressedSize: false,
    cssCodeSplit: false, // all of it is smaller than the asking for its parts
    rolldownOptions: {
      output: {
        // one file for what every page needs: a browser asks for six at a time
        codeSplitting: { groups: [{ name: 'house', tags: ['$initial'] }] },
      },
    },
  },
  server: { proxy: { '/api': 'http://127.0.0.1:8451' } },
  test: { include: ['src/**/*.test.ts', 'tests/**/*.test.ts'], environment: 'node' },
});
