/** The addresses of the app: what a path means, and how a path is written. */

export type Place =
  | { room: 'today' }
  | { room: 'yard' }
  | { room: 'tree'; id: string }
  | { room: 'pot'; id: string }
  | { room: 'shape'; id: string }
  | { room: 'futures'; id: string }
  | { room: 'start' }
  | { room: 'settings' }
  | { room: 'weather' }
  | { room: 'unknown'; path: string };

const PLAIN = {
  '/': 'today',
  '/yard': 'yard',
  '/start': 'start',
  '/settings': 'settings',
  '/weather': 'weather',
} as const;

/** The place that a path names; a path that names none is kept so that the page can show it. */
export function placeOf(path: string): Place {
  const bare = path.length > 1 ? path.replace(/\/+$/, '') || '/' : path;
  if (bare in PLAIN) return { room: PLAIN[bare as keyof typeof PLAIN] };
  const tree = /^\/tree\/([^/]+)(?:\/(pot|shape|futures))?$/.exec(bare);
  if (tree?.[1] !== undefined) {
    try {
      return {
        room: (tree[2] as 'pot' | 'shape' | 'futures' | undefined) ?? 'tree',
        id: decodeURIComponent(tree[1]),
      };
    } catch {
      return { room: 'unknown', path }; // a percent sign that encodes nothing
    }
  }
  return { room: 'unknown', path };
}

/** The path of a place. */
export function pathOf(place: Place): string {
  switch (place.room) {
    case 'tree':
      return `/tree/${encodeURIComponent(place.id)}`;
    case 'pot':
    case 'shape':
    case 'futures':
      return `/tree/${encodeURIComponent(place.id)}/${place.room}`;
    case 'today':
      return '/';
    case 'unknown':
      return place.path;
    default:
      return `/${place.room}`;
  }
}
