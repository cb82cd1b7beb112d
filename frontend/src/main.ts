import './look/global.css';

import { mount } from 'svelte';

import { firstReadsCame } from './api/client';
import App from './App.svelte';
import { placeOf } from './core/paths';
import { startTheme } from './parts/theme.svelte';
import { fetchRoom } from './rooms';
import { startLanguage } from './words/words.svelte';

const LONGEST_WAIT_ms = 300;

/** The room's file and what it will read, so that the first paint is the room and not an empty house. */
async function firstRoom(): Promise<void> {
  const { room } = placeOf(location.pathname);
  await Promise.allSettled([room === 'unknown' ? undefined : fetchRoom(room), firstReadsCame()]);
}

// Not awaited at the top: the rooms' files import from this one and would wait for it, as it does for them.
async function start(): Promise<void> {
  startTheme();
  await startLanguage();
  await Promise.race([firstRoom(), new Promise((resolve) => setTimeout(resolve, LONGEST_WAIT_ms))]);
  mount(App, { target: document.getElementById('app')! });
}

void start();
