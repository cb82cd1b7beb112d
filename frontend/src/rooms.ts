/** The rooms; each is a file of its own that is fetched when it is first entered. */

import type { Component } from 'svelte';

import type { Place } from './core/paths';
import { fetchTexts } from './words/words.svelte';

export type RoomName = Exclude<Place['room'], 'unknown'>;
export type Room = Component<any>;

const FILES: Readonly<Record<RoomName, () => Promise<{ default: Room }>>> = {
  today: () => import('./rooms/today/Today.svelte'),
  yard: () => import('./rooms/yard/Yard.svelte'),
  tree: () => import('./rooms/tree/Tree.svelte'),
  pot: () => import('./rooms/pot/Pot.svelte'),
  shape: () => import('./rooms/shape/Shape.svelte'),
  futures: () => import('./rooms/futures/Futures.svelte'),
  start: () => import('./rooms/start/Start.svelte'),
  settings: () => import('./rooms/settings/Settings.svelte'),
  weather: () => import('./rooms/weather/Weather.svelte'),
};
const here = new Map<RoomName, Room>();

/** A room that was fetched already, so that it can be drawn at once. */
export function roomHere(name: RoomName): Room | undefined {
  return here.get(name);
}

/** Fetches a room's file and what only this room says. */
export async function fetchRoom(name: RoomName): Promise<Room> {
  const [{ default: room }] = await Promise.all([FILES[name](), fetchTexts(name)]);
  here.set(name, room);
  return room;
}
