/** English, whole. Each room keeps its own texts; a key begins with the room's name. */

import { house } from './en/house';
import { settings } from './en/settings';
import { start } from './en/start';
import { today } from './en/today';
import { tree } from './en/tree';
import { yard } from './en/yard';

export const en = { ...house, ...settings, ...start, ...today, ...tree, ...yard } as const;
