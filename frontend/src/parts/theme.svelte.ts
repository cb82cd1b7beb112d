/** Light or dark: as the device has it, or as chosen on this device; `public/first.js` sets it before the first paint. */

export type Theme = 'device' | 'light' | 'dark';

const REMEMBERED = 'ringwise.theme';

let chosen = $state<Theme>('device');

/** What a kept text says; anything else is the device's choice. */
export function themeOf(kept: string | null): Theme {
  return kept === 'light' || kept === 'dark' ? kept : 'device';
}

/** The theme chosen on this device. */
export function theme(): Theme {
  return chosen;
}

/** Chooses a theme from now on, also after a reload. */
export function setTheme(wanted: Theme): void {
  shown(wanted);
  try {
    if (wanted === 'device') localStorage.removeItem(REMEMBERED);
    else localStorage.setItem(REMEMBERED, wanted);
  } catch {
    // private windows may refuse; it then lasts as long as the page
  }
}

/** Takes up what was chosen, and follows another tab; called once, before the app is drawn. */
export function startTheme(): void {
  try {
    shown(themeOf(localStorage.getItem(REMEMBERED)));
  } catch {
    // as above
  }
  addEventListener('storage', (event) => {
    if (event.key === REMEMBERED) shown(themeOf(event.newValue));
  });
}

function shown(wanted: Theme): void {
  chosen = wanted;
  if (wanted === 'device') delete document.documentElement.dataset['theme'];
  else document.documentElement.dataset['theme'] = wanted;
}
