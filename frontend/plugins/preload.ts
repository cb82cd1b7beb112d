import type { HtmlTagDescriptor, Plugin } from 'vite';

// What the first page is written in; the italic and the far letters come when a page asks for them.
const FIRST = /barlow-latin-(400|500|600)-normal-[\w-]+\.woff2$/;

/** Has the browser fetch the first page's fonts at once, so that its lines do not break anew when they come. */
export function preload(): Plugin {
  return {
    name: 'preload',
    apply: 'build',
    transformIndexHtml: {
      order: 'post',
      handler: (_html, { bundle }): HtmlTagDescriptor[] =>
        Object.keys(bundle ?? {})
          .filter((name) => FIRST.test(name))
          .sort()
          .map((name) => ({
            tag: 'link',
            attrs: { rel: 'preload', href: `/${name}`, as: 'font', type: 'font/woff2', crossorigin: '' },
            injectTo: 'head',
          })),
    },
  };
}
