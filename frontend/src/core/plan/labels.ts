/** Names under trees: whole where there is room, in two lines, as an id, or left out; never over another. */

import { overlaps, type Box } from './types';

export interface Wanted {
  key: string;
  /** Middle of the name and the line that it hangs from, in px. */
  x: number;
  y: number;
  name: string;
  id: string;
  /** The lowest number is placed first. */
  rank: number;
  /** Ends of its bench, in px; the name stays between them unless it is the longer of the two. */
  bench?: Ends;
  /** The front edge of its bench, in px; no line of the name lies across it. */
  edge?: number;
}

export interface Ends {
  left: number;
  right: number;
}

export interface Placed {
  key: string;
  lines: string[];
  x: number;
  /** Base line of each line. */
  ys: number[];
  box: Box;
}

export interface Setting {
  /** Width of a text in px. */
  measure: (text: string) => number;
  /** From one line to the next, in px. */
  line: number;
  /** Kept free between two names, in px. */
  gap: number;
  /** What no name may cover. */
  taken: readonly Box[];
  /** No name leaves this. */
  within: Ends;
}

const ASCENT = 0.78; // of the line; the rest hangs below the base line
const CLEAR = 3; // px kept between a line of a name and the edge of a bench

interface Way {
  lines: string[];
  /** By how many lines it hangs lower than its place. */
  lower: number;
  isId: boolean;
}

/** The ways in which a name may be written, best first. */
function waysOf(name: string, id: string, measure: (text: string) => number): Way[] {
  const whole = [name];
  const words = name.split(' ');
  const widest = (lines: string[]): number => Math.max(...lines.map(measure));
  const halves = words
    .slice(1)
    .map((_word, i) => [words.slice(0, i + 1).join(' '), words.slice(i + 1).join(' ')])
    .sort((a, b) => widest(a) - widest(b))[0];
  const parted = halves ? [halves] : [];
  const short = id && id !== name ? [[id]] : [];
  const way =
    (lower: number, isId = false) =>
    (lines: string[]): Way => ({ lines, lower, isId });
  return [
    ...[whole, ...parted].map(way(0)),
    ...[whole, ...parted].map(way(1)),
    ...short.map(way(0, true)),
    ...short.map(way(1, true)),
  ];
}

/** Places as many names as there is room for; the order of the answer is the order of what was wanted. */
export function placedLabels(wanted: readonly Wanted[], setting: Setting): Placed[] {
  const placed = new Map<string, Placed>();
  const boxes: Box[] = [...setting.taken];
  const order = [...wanted].sort((a, b) => a.rank - b.rank || b.y - a.y || a.x - b.x);
  for (const each of order) {
    const ways = waysOf(each.name, each.id, setting.measure);
    const found = firstFitted(each, ways, setting, boxes);
    if (!found) continue;
    placed.set(each.key, found);
    boxes.push(found.box);
  }
  return wanted.flatMap((each) => placed.get(each.key) ?? []);
}

/** The best way that fits, on its bench if any does; else a name over the edge is better than none. */
function firstFitted(
  each: Wanted,
  ways: readonly Way[],
  setting: Setting,
  boxes: readonly Box[],
): Placed | undefined {
  const isSplit = (way: Way): boolean => {
    const tops = topsOf(each, way, setting.line);
    return each.edge !== undefined && tops[0]! < each.edge && tops.at(-1)! > each.edge;
  };
  // a name on both sides of the edge reads badly, an id says still less
  const cost = (way: Way): number => (way.isId ? 2 : isSplit(way) ? 1 : 0);
  const order = [...ways].sort((a, b) => cost(a) - cost(b));
  for (const isOnBench of each.bench ? [true, false] : [false]) {
    for (const way of order) {
      const found = fitted(each, way, setting, boxes, isOnBench);
      if (found) return found;
    }
  }
  return undefined;
}

/** Where the lines of a name begin, from above; one that would lie across the edge goes below it. */
function topsOf(each: Wanted, way: Way, line: number): number[] {
  const tops: number[] = [];
  let top = each.y + way.lower * line;
  for (const _words of way.lines) {
    const { edge } = each;
    if (edge !== undefined && top < edge + CLEAR && top + line > edge - CLEAR) top = edge + CLEAR;
    tops.push(top);
    top += line;
  }
  return tops;
}

const SHIFTS = [0, -6, 6, -12, 12]; // px to the side; farther off a name would belong to the neighbour

function fitted(
  each: Wanted,
  way: Way,
  setting: Setting,
  boxes: readonly Box[],
  isOnBench: boolean,
): Placed | undefined {
  const { line, gap } = setting;
  const half = Math.max(...way.lines.map(setting.measure)) / 2;
  const within = isOnBench ? endsFor(2 * half, setting.within, each.bench) : setting.within;
  if (2 * half > within.right - within.left) return undefined;
  const tops = topsOf(each, way, line);
  for (const shift of SHIFTS) {
    const x = Math.min(Math.max(each.x + shift, within.left + half), within.right - half);
    const box: Box = {
      left: x - half - gap / 2,
      right: x + half + gap / 2,
      top: tops[0]!,
      bottom: tops.at(-1)! + line,
    };
    if (boxes.some((other) => overlaps(box, other))) continue;
    return { key: each.key, lines: way.lines, x, ys: tops.map((top) => top + ASCENT * line), box };
  }
  return undefined;
}

/** Between what a name has to stay: the ends of its bench, as far as they are drawn, where it is not longer. */
function endsFor(length: number, drawing: Ends, bench: Ends | undefined): Ends {
  if (!bench) return drawing;
  const ends = { left: Math.max(bench.left, drawing.left), right: Math.min(bench.right, drawing.right) };
  return length <= ends.right - ends.left ? ends : drawing;
}
