/** Where the app is: the place on screen and what its address asks for, kept in step with the address bar. */

import { tick } from 'svelte';

import { pathOf, placeOf, type Place } from '../core/paths';

let current = $state<Place>(placeOf(globalThis.location?.pathname ?? '/'));
let query = $state(globalThis.location?.search ?? '');
let title = $state<{ name: string; scale: string }>({ name: '', scale: '' });

/** The place on screen; reading it in a component follows it. */
export function place(): Place {
  return current;
}

/** What the address asks for behind its question mark, such as `place` in "/yard?place=Bench%20B". */
export function asked(): URLSearchParams {
  return new URLSearchParams(query);
}

/** Goes to a place and leaves the old one in the browser's history. */
export function go(to: Place): void {
  goPath(pathOf(to));
}

/** Goes to an address of the app as the server names it, with its question. */
export function goPath(path: string): void {
  const to = new URL(path, location.origin);
  if (to.pathname + to.search !== location.pathname + location.search) {
    history.pushState(null, '', to.pathname + to.search);
  }
  arrive();
  scrollTo(0, 0);
}

/** Changes the question of the address and stays where one is; a filter is not a step back in history. */
export function ask(values: Readonly<Record<string, string>>): void {
  const next = new URLSearchParams(Object.entries(values).filter(([, value]) => value !== '')).toString();
  history.replaceState(null, '', location.pathname + (next ? `?${next}` : ''));
  query = location.search;
}

/** What a room writes into the title block: what is drawn here and to which scale; also the window's title. */
export function titled(name: string, scale = ''): void {
  title = { name, scale };
  document.title = name ? `${name} · Ringwise` : 'Ringwise';
}

/** What the room on screen wrote into the title block. */
export function titleHere(): { name: string; scale: string } {
  return title;
}

/** Follows back, forward and plain clicks on links within the app. Returns what ends it. */
export function followTheWay(): () => void {
  addEventListener('popstate', arrive);
  document.addEventListener('click', clicked);
  return () => {
    removeEventListener('popstate', arrive);
    document.removeEventListener('click', clicked);
  };
}

function arrive(): void {
  const to = placeOf(location.pathname);
  if (pathOf(to) !== pathOf(current)) {
    current = to;
    titled('');
    void tick().then(() => document.getElementById('main')?.focus({ preventScroll: true })); // as a new page would
  }
  query = location.search;
}

function clicked(event: MouseEvent): void {
  const changed = event.ctrlKey || event.metaKey || event.shiftKey || event.altKey;
  if (event.defaultPrevented || event.button !== 0 || changed) return;
  const link = (event.target as Element | null)?.closest('a');
  if (!link || link.target || link.hasAttribute('download') || link.origin !== location.origin) return;
  if (placeOf(link.pathname).room === 'unknown' || link.hash) return; // the server answers what the app does not know
  event.preventDefault();
  goPath(link.pathname + link.search);
}
