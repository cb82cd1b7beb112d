/** Where the app is: the place on screen, kept in step with the address bar. */

import { pathOf, placeOf, type Place } from '../core/paths';

let current = $state<Place>(placeOf(globalThis.location?.pathname ?? '/'));

/** The place on screen; reading it in a component follows it. */
export function place(): Place {
  return current;
}

/** Goes to a place and leaves the old one in the browser's history. */
export function go(to: Place): void {
  const path = pathOf(to);
  if (path !== location.pathname) history.pushState(null, '', path);
  current = placeOf(path);
  scrollTo(0, 0);
}

/** Follows back, forward and plain clicks on links within the app. Returns what ends it. */
export function followTheWay(): () => void {
  const back = (): void => {
    current = placeOf(location.pathname);
  };
  addEventListener('popstate', back);
  document.addEventListener('click', clicked);
  return () => {
    removeEventListener('popstate', back);
    document.removeEventListener('click', clicked);
  };
}

function clicked(event: MouseEvent): void {
  const changed = event.ctrlKey || event.metaKey || event.shiftKey || event.altKey;
  if (event.defaultPrevented || event.button !== 0 || changed) return;
  const link = (event.target as Element | null)?.closest('a');
  if (!link || link.target || link.hasAttribute('download') || link.origin !== location.origin) return;
  const to = placeOf(link.pathname);
  if (to.room === 'unknown' || link.hash) return; // the server answers what the app does not know
  event.preventDefault();
  go(to);
}
