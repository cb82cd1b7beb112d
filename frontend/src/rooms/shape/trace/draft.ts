/** What lies on the tracing table and is not stored yet: photos, scales, clicks; kept so that a reload loses nothing. */

import type { Schema } from '../../../api/client';
import { INCH_mm } from '../../../core/lengths';

export type Place = readonly [number, number];
export type ViewName = 'front' | 'side';
export const VIEWS: readonly ViewName[] = ['front', 'side'];

export interface PhotoDraft {
  entry: string;
  width_px: number;
  height_px: number;
  sha256: string;
  clock: number;
  kind: 'rim' | 'rule';
  scale: Place[];
  length: string;
  focal: string;
  /** What a file of points may say that the table does not ask for; it stays with the photo. */
  rest?: { in_front_mm: number; rim: Place[] | null; soil: Place[] | null };
}

export interface BranchDraft {
  id: string;
  parent: string | null;
  front: Place[];
  side: Place[];
  edges: Partial<Record<ViewName, Place[][]>>;
}

export interface Draft {
  photos: Partial<Record<ViewName, PhotoDraft>>;
  branches: BranchDraft[];
}

export const TRUNK = 'trunk';

export function emptyDraft(): Draft {
  return { photos: {}, branches: [{ id: TRUNK, parent: null, front: [], side: [], edges: {} }] };
}

type Kept = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>;
const keyOf = (tree: string) => `ringwise.trace.${tree}`;

/** The draft of a tree as it was kept; one that does not read is none. */
export function readDraft(storage: () => Kept, tree: string): Draft {
  try {
    const kept = JSON.parse(storage().getItem(keyOf(tree)) ?? 'null') as Draft | null;
    if (kept && typeof kept.photos === 'object' && kept.branches?.[0]?.id === TRUNK) return kept;
  } catch {
    // nothing kept that reads, or a private window that refuses
  }
  return emptyDraft();
}

/** Keeps the draft, or forgets it where the table is empty. */
export function keepDraft(storage: () => Kept, tree: string, draft: Draft): void {
  try {
    if (Object.keys(draft.photos).length === 0) storage().removeItem(keyOf(tree));
    else storage().setItem(keyOf(tree), JSON.stringify(draft));
  } catch {
    // as above; the draft then lasts as long as the page
  }
}

/** A kept trace as it lay on the table; ids are given anew, so that the trunk has its own. */
export function draftOf(kept: Schema<'TraceKept'>): Draft {
  const ids = new Map(kept.branches.map((each, i) => [each.id, i === 0 ? TRUNK : `b${i}`]));
  const places = (given: number[][]) => given.map((each): Place => [each[0]!, each[1]!]);
  const photos: Draft['photos'] = {};
  const drawn = (each: Schema<'TraceBranchKept'>): BranchDraft['edges'] =>
    Object.fromEntries(
      VIEWS.flatMap((view) => {
        const pairs = each.edges[view];
        return pairs ? [[view, pairs.map(places)]] : [];
      }),
    );
  for (const view of VIEWS) {
    const photo = kept.photos[view];
    if (!photo) continue;
    const { entry, sha256, width_px, height_px, clock, scale, rim, soil } = photo;
    photos[view] = {
      ...{ entry, sha256, width_px, height_px, clock },
      kind: scale.kind,
      scale: places(scale.points),
      length: `${scale.length_mm} mm`,
      focal: String(photo.focal_35mm_mm ?? ''),
      rest: {
        in_front_mm: scale.in_front_mm,
        rim: rim ? places(rim) : null,
        soil: soil ? places(soil) : null,
      },
    };
  }
  const branches = kept.branches.map((each) => ({
    id: ids.get(each.id)!,
    parent: each.parent === null ? null : (ids.get(each.parent) ?? TRUNK),
    front: places(each.front),
    side: places(each.side),
    edges: drawn(each),
  }));
  return { photos, branches };
}

/** A length with its unit, in mm: "24 cm", "240 mm", "9,5 in"; null where it does not read or has none. */
export function lengthOf(text: string): number | null {
  const found = /^\s*(\d+(?:[.,]\d+)?)\s*(mm|cm|m|in)\s*$/.exec(text);
  if (!found) return null;
  const value = Number(found[1]!.replace(',', '.'));
  const times = { mm: 1, cm: 10, m: 1000, in: INCH_mm }[found[2]!]!;
  return value > 0 ? value * times : null;
}

/** The next free id of a branch. */
export function nextId(draft: Draft): string {
  const taken = new Set(draft.branches.map((each) => each.id));
  let number = draft.branches.length;
  while (taken.has(`b${number}`)) number += 1;
  return `b${number}`;
}

/** The draft with another list of clicks for a branch on a photo. */
export function withPlaces(draft: Draft, id: string, view: ViewName, places: Place[]): Draft {
  const branches = draft.branches.map((each) => (each.id === id ? { ...each, [view]: places } : each));
  return { ...draft, branches };
}

/** The draft without a branch and all that stands on it; the trunk is only emptied. */
export function withoutBranch(draft: Draft, id: string): Draft {
  const gone = new Set([id]);
  for (const each of draft.branches) if (each.parent !== null && gone.has(each.parent)) gone.add(each.id);
  if (id === TRUNK) return { ...draft, branches: emptyDraft().branches };
  return { ...draft, branches: draft.branches.filter((each) => !gone.has(each.id)) };
}

/** Whether a photo has its scale. */
export function hasScale(photo: PhotoDraft | undefined): boolean {
  return photo !== undefined && photo.scale.length === 2 && lengthOf(photo.length) !== null;
}

/** What is still missing before the server can be asked, as the end of a word's key; blank where nothing is. */
export function lacking(draft: Draft): '' | 'photo' | 'scale' | 'trunk' {
  const { front, side } = draft.photos;
  if (!front) return 'photo';
  if (!hasScale(front) || (side && !hasScale(side))) return 'scale';
  const trunk = draft.branches[0]!;
  return trunk.front.length < 2 || (side && trunk.side.length < 2) ? 'trunk' : '';
}

/** The body for the server; branches with fewer than two clicks on every photo are left out. */
export function clicksOf(draft: Draft) {
  const photos: Record<string, object> = {};
  const entries: Record<string, string> = {};
  for (const view of VIEWS) {
    const photo = draft.photos[view];
    if (!photo) continue;
    entries[view] = photo.entry;
    const focal = Number(photo.focal.replace(',', '.'));
    photos[view] = {
      clock: photo.clock,
      width_px: photo.width_px,
      height_px: photo.height_px,
      scale: {
        kind: photo.kind,
        points: photo.scale.map((place) => [...place]),
        length_mm: lengthOf(photo.length) ?? 0,
        in_front_mm: photo.rest?.in_front_mm ?? 0,
      },
      rim: photo.rest?.rim ?? null,
      soil: photo.rest?.soil ?? null,
      ...(focal > 0 ? { focal_35mm_mm: focal } : {}),
    };
  }
  const kept = (view: ViewName, places: Place[]) =>
    draft.photos[view] && places.length >= 2 ? places.map((place) => [...place]) : [];
  const branches = draft.branches
    .map((each) => ({
      id: each.id,
      parent: each.parent,
      front: kept('front', each.front),
      side: kept('side', each.side),
      edges: each.edges,
    }))
    .filter((each) => each.front.length > 0 || each.side.length > 0);
  const there = new Set(branches.map((each) => each.id));
  return {
    photos,
    entries,
    branches: branches.filter((each) => each.parent === null || there.has(each.parent)),
  };
}

/** Height in mm above the foot of a place on a photo, by its scale; null without foot or scale. */
export function heightOf(draft: Draft, view: ViewName, place: Place): number | null {
  const foot = draft.branches[0]![view][0];
  const perPx = mmPerPx(draft.photos[view]);
  return foot && perPx ? (foot[1] - place[1]) * perPx : null;
}

/** Where a height lies on a photo, in pixels from its top; null without foot or scale. */
export function levelOf(draft: Draft, view: ViewName, height_mm: number): number | null {
  const foot = draft.branches[0]![view][0];
  const perPx = mmPerPx(draft.photos[view]);
  return foot && perPx ? foot[1] - height_mm / perPx : null;
}

function mmPerPx(photo: PhotoDraft | undefined): number | null {
  if (!photo || photo.scale.length < 2) return null;
  const [a, b] = photo.scale as [Place, Place];
  const length = lengthOf(photo.length);
  const px = Math.hypot(b[0] - a[0], b[1] - a[1]);
  return length && px > 0 ? length / px : null;
}

/** The branch whose line passes nearest to a place on a photo: what a new branch most likely stands on. */
export function nearestBranch(draft: Draft, view: ViewName, place: Place, without: string): string {
  let best = TRUNK;
  let least = Infinity;
  for (const branch of draft.branches) {
    if (branch.id === without) continue;
    const places = branch[view];
    for (let i = 0; i + 1 < places.length; i += 1) {
      const gap = gapTo(place, places[i]!, places[i + 1]!);
      if (gap < least) [least, best] = [gap, branch.id];
    }
  }
  return best;
}

function gapTo(place: Place, from: Place, to: Place): number {
  const [dx, dy] = [to[0] - from[0], to[1] - from[1]];
  const square = dx * dx + dy * dy || 1;
  const share = Math.min(1, Math.max(0, ((place[0] - from[0]) * dx + (place[1] - from[1]) * dy) / square));
  return Math.hypot(place[0] - from[0] - share * dx, place[1] - from[1] - share * dy);
}
