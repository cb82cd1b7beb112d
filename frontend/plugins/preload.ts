import type { HtmlTagDescriptor, Plugin } from 'vite';

// What the first page is written in; the italic and the far letters come when a page asks for them.
const FIRST = /barlow-latin-(400|500|600)-normal-[\w-]+\.woff2$/;
const ROOM = /\/rooms\/\w+\/([A-Z]\w+)\.svelte$/;
const SCRIPT = '<script src="/first.js"';

/**
 * Has the browser fetch the first page's fonts at once, so that its lines do not break anew when they come; and tells
 * `first.js` the files of each room, so that they are under way before the app asks for them.
 */
export function preload(): Plugin {
  return {
    name: 'preload',
    apply: 'build',
    transformIndexHtml: {
      order: 'post',
      handler: (html, { bundle }): { html: string; tags: HtmlTagDescriptor[] } => {
        const fonts = Object.keys(bundle ?? {}).filter((name) => FIRST.test(name));
        const rooms = Object.values(bundle ?? {}).flatMap((file) => {
          if (file.type !== 'chunk' || !file.isDynamicEntry) return [];
          const room = ROOM.exec(file.facadeModuleId ?? '')?.[1];
          const files = [file.fileName, ...file.imports].filter((name) => !html.includes(name));
          return room ? [` data-${room.toLowerCase()}="/${files.join(' /')}"`] : [];
        });
        if (!html.includes(SCRIPT)) throw new Error(`index.html: ${SCRIPT} is missing`);
        return {
          html: html.replace(SCRIPT, SCRIPT + rooms.sort().join('')),
          tags: fonts.sort().map((name) => ({
            tag: 'link',
            attrs: { rel: 'preload', href: `/${name}`, as: 'font', type: 'font/woff2', crossorigin: '' },
            injectTo: 'head',
          })),
        };
      },
    },
  };
}
