/** The keyboard: single letters that act, the room's own among them, all told in the sheet that `?` opens. */

import { openSheet, openWhy } from './open.svelte';
import { head } from './news.svelte';

export interface Key {
  /** As `KeyboardEvent.key` gives it: "l", "/", "ArrowLeft". */
  readonly key: string;
  /** What it does, in words; a function so that it follows the language. */
  readonly words: () => string;
  /** What it does. Leave it out for keys that a drawing handles itself and that are only told here. */
  readonly act?: () => void;
  /** As shown when the key's own name would not do: "← →". */
  readonly shown?: string;
}

const REMEMBERED = 'ringwise.letters';

let roomKeys = $state.raw<readonly (readonly Key[])[]>([]);
let lettersOn = $state(remembered());

/** Adds a room's keys while it is on screen: `onMount(() => roomKeysAre([...]))`. Returns what takes them away. */
export function roomKeysAre(keys: readonly Key[]): () => void {
  roomKeys = [...roomKeys, keys];
  return () => {
    roomKeys = roomKeys.filter((others) => others !== keys);
  };
}

/** The keys of the room on screen. */
export function keysOfRoom(): readonly Key[] {
  return roomKeys.flat();
}

/** Whether single letters act on this device; people who speak to their machine may want them off. */
export function letters(): boolean {
  return lettersOn;
}

/** Turns single letters on or off, remembered on this device. */
export function setLetters(isOn: boolean): void {
  lettersOn = isOn;
  try {
    localStorage.setItem(REMEMBERED, isOn ? 'on' : 'off');
  } catch {
    // private windows may refuse; it then lasts as long as the page
  }
}

/** Whether a key that was pressed on an element is meant for the app and not for a field, a list or a dialog. */
export function isForApp(
  event: Pick<KeyboardEvent, 'ctrlKey' | 'metaKey' | 'altKey'>,
  typed: boolean,
  isModal: boolean,
): boolean {
  return !(event.ctrlKey || event.metaKey || event.altKey || typed || isModal);
}

/** Follows the keyboard; called once by the app. Returns what ends it. */
export function followKeys(): () => void {
  const pressed = (event: KeyboardEvent): void => {
    if (!lettersOn || event.defaultPrevented || event.repeat) return;
    const isTyped = event.target instanceof Element && event.target.closest(TYPED) !== null;
    if (!isForApp(event, isTyped, document.querySelector('dialog:modal') !== null)) return;
    const act = actOf(event.key);
    if (!act) return;
    event.preventDefault();
    act();
  };
  addEventListener('keydown', pressed);
  return () => removeEventListener('keydown', pressed);
}

const TYPED =
  'input:not([type="checkbox"], [type="radio"], [type="button"]), textarea, select, [contenteditable]';

function actOf(key: string): (() => void) | undefined {
  const own = keysOfRoom().find((one) => one.key === key && one.act);
  if (own) return own.act;
  if (key === '/') return () => openSheet('goto');
  if (key === '?') return () => openSheet('keys');
  if (key === 'u') return head()?.undo ? () => openSheet('takeBack') : undefined;
  if (key === 'w') return whyOfFocused();
  return undefined;
}

function whyOfFocused(): (() => void) | undefined {
  const name = document.activeElement?.closest<HTMLElement>('[data-why]')?.dataset['why'];
  return name ? () => openWhy(name) : undefined;
}

function remembered(): boolean {
  try {
    return globalThis.localStorage?.getItem(REMEMBERED) !== 'off';
  } catch {
    return true;
  }
}
