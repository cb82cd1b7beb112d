/** English, whole. Each room keeps its own texts; a key begins with the room's name. */

import { house } from './en/house';
import { log } from './en/log';
import { outbox } from './en/outbox';
import { photos } from './en/photos';
import { pot } from './en/pot';
import { settings } from './en/settings';
import { shape } from './en/shape';
import { start } from './en/start';
import { tape } from './en/tape';
import { today } from './en/today';
import { trace } from './en/trace';
import { tree } from './en/tree';
import { turn } from './en/turn';
import { weather } from './en/weather';
import { yard } from './en/yard';

export const en = {
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
} as const;
