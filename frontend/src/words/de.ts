/** German, whole; fetched only when it is spoken. The compiler wants every key that English has. */

import type { LikeEnglish } from './catalogue';
import { house } from './de/house';
import { log } from './de/log';
import { outbox } from './de/outbox';
import { photos } from './de/photos';
import { pot } from './de/pot';
import { settings } from './de/settings';
import { shape } from './de/shape';
import { start } from './de/start';
import { tape } from './de/tape';
import { today } from './de/today';
import { trace } from './de/trace';
import { tree } from './de/tree';
import { turn } from './de/turn';
import { weather } from './de/weather';
import { yard } from './de/yard';
import type { en } from './en';

export const de: LikeEnglish<typeof en> = {
  ...house,
  ...log,
  ...outbox,
  ...photos,
  ...pot,
  ...settings,
  ...shape,
  ...start,
  ...tape,
  ...today,
  ...trace,
  ...tree,
  ...turn,
  ...weather,
  ...yard,
};
