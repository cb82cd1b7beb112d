import { readdirSync, readFileSync, statSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { brotliCompressSync, gzipSync } from 'node:zlib';
import type { Plugin } from 'vite';

const SMALLEST_bytes = 1024;
const TEXT = /\.(css|html|js|json|svg|txt)$/;

/** Puts a .gz and a .br beside every text file over 1 KB; fonts and pictures are packed already. */
export function precompressed(): Plugin {
  let folder = '';
  let isWritten = false; // a build that failed ends here too
  return {
    name: 'precompressed',
    apply: 'build',
    configResolved: (config) => {
      folder = join(config.root, config.build.outDir);
      if (config.build.outDir.startsWith('/')) folder = config.build.outDir;
    },
    writeBundle: () => {
      isWritten = true;
    },
    closeBundle: () => {
      if (!isWritten) return;
      for (const name of readdirSync(folder, { recursive: true, encoding: 'utf8' })) {
        const path = join(folder, name);
        if (!TEXT.test(name) || statSync(path).size <= SMALLEST_bytes) continue;
        const bytes = readFileSync(path);
        writeFileSync(`${path}.gz`, gzipSync(bytes, { level: 9 }));
        writeFileSync(`${path}.br`, brotliCompressSync(bytes));
      }
    },
  };
}
