/** German, whole; fetched only when it is spoken. The compiler wants every key that English has. */

import type { LikeEnglish } from './catalogue';
import { house } from './de/house';
import { settings } from './de/settings';
import { start } from './de/start';
import { today } from './de/today';
import { tree } from './de/tree';
import { yard } from './de/yard';
import type { en } from './en';

export const de: LikeEnglish<typeof en> = { ...house, ...settings, ...start, ...today, ...tree, ...yard };
