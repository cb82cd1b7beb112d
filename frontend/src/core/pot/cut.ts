/**
 * The cut through a pot as points. A pot is measured from the middle of its floor, x along its length and y up; it is
 * drawn as it stands, tilted about the lowest edge of the fill, with that edge as the origin and y still up.
 */

import type { Box, CutValues, Point } from './types';

const STUB = 1.1; // how much of the trunk is drawn, in its own widths
const LEAST_STUB_mm = 24;

/** Half the inside length at a height above the floor. */
export function halfAt(cut: CutValues, y_mm: number): number {
  const floor = cut.bottom_length_mm ?? cut.length_mm;
  return (floor + ((cut.length_mm - floor) * y_mm) / cut.depth_mm) / 2;
}

/** Height of the surface of the fill above the floor of the pot. */
export function surfaceOf(cut: CutValues): number {
  return cut.fill_floor_mm + cut.fill_height_mm;
}

/** From the pot's own measure to how it stands. */
export function standing(cut: CutValues): (x_mm: number, y_mm: number) => Point {
  const angle = (cut.tilt_deg * Math.PI) / 180;
  const [sin, cos] = [Math.sin(angle), Math.cos(angle)];
  const from = -halfAt(cut, cut.fill_floor_mm);
  return (x_mm, y_mm) => {
    const [x, y] = [x_mm - from, y_mm - cut.fill_floor_mm];
    return [x * cos - y * sin, x * sin + y * cos];
  };
}

/** The walls and the floor in section, outside and inside. */
export function walls(cut: CutValues): Point[] {
  const { wall_mm: wall, depth_mm: depth } = cut;
  const [top, floor] = [halfAt(cut, depth), halfAt(cut, 0)];
  return at(cut, [
    [-top - wall, depth],
    [-floor - wall, -wall],
    [floor + wall, -wall],
    [top + wall, depth],
    [top, depth],
    [floor, 0],
    [-floor, 0],
    [-top, depth],
  ]);
}

/** What substrate fills. */
export function fill(cut: CutValues): Point[] {
  const [low, high] = [cut.fill_floor_mm, surfaceOf(cut)];
  const [floor, top] = [halfAt(cut, low), halfAt(cut, high)];
  return at(cut, [
    [-floor, low],
    [floor, low],
    [top, high],
    [-top, high],
  ]);
}

/** What lies between the floor of the pot and the fill. */
export function bed(cut: CutValues): Point[] {
  const [floor, low] = [halfAt(cut, 0), halfAt(cut, cut.fill_floor_mm)];
  return at(cut, [
    [-floor, 0],
    [floor, 0],
    [low, cut.fill_floor_mm],
    [-low, cut.fill_floor_mm],
  ]);
}

/** Both ends of a level line across the pot at a height above the floor. */
export function across(cut: CutValues, y_mm: number): [Point, Point] {
  const half = halfAt(cut, y_mm);
  return at(cut, [
    [-half, y_mm],
    [half, y_mm],
  ]) as [Point, Point];
}

/** Outline of the root ball from its left end at the surface down and round to the right, the hollow left out. */
export function ball(cut: CutValues): Point[] {
  if (!cut.ball) return [];
  const top = surfaceOf(cut);
  const low = top - cut.ball.depth_mm;
  const half = Math.min(cut.ball.length_mm / 2, halfAt(cut, low));
  const round = Math.min(cut.ball.depth_mm * 0.45, half * 0.4);
  const points: Point[] = [[-half, top], ...quarter([-half + round, low + round], round, Math.PI)];
  const under = cut.hollow && cut.hollow.radius_mm < half - round ? dome(cut) : [];
  points.push(...under, ...quarter([half - round, low + round], round, 1.5 * Math.PI), [half, top]);
  return at(cut, points);
}

/** The underside of the hollow, from left to right, before it is tilted. */
function dome(cut: CutValues): Point[] {
  const { radius_mm: radius, depth_mm: depth } = cut.hollow!;
  const low = surfaceOf(cut) - (cut.ball?.depth_mm ?? 0);
  const bow = (radius * radius + depth * depth) / (2 * depth); // radius of the sphere that the cap is cut from
  return Array.from({ length: 17 }, (_, i) => {
    const x = -radius + (i * radius) / 8;
    return [x, low + Math.sqrt(Math.max(0, bow * bow - x * x)) - (bow - depth)] as const;
  });
}

/** The dome of fresh mix that fills the hollow; empty where there is none or its ball is not drawn. */
export function domeOf(cut: CutValues): Point[] {
  return cut.hollow && cut.ball ? at(cut, dome(cut)) : [];
}

function quarter([x, y]: Point, radius: number, from: number): Point[] {
  return Array.from({ length: 7 }, (_, i) => {
    const angle = from + (i * Math.PI) / 12;
    return [x + radius * Math.cos(angle), y + radius * Math.sin(angle)] as const;
  });
}

/** Holes of the floor and the mesh over each; holes behind one another are drawn once. */
export function holes(cut: CutValues): { hole: Point[]; mesh: [Point, Point] }[] {
  const seen = new Map(cut.holes.map((hole) => [Math.round(hole.x_mm), hole]));
  return [...seen.values()].map(({ x_mm: x, diameter_mm, mesh_mm }) => {
    const [r, m] = [diameter_mm / 2, mesh_mm / 2];
    const edge = halfAt(cut, 0);
    const [left, right] = [Math.max(x - m, -edge), Math.min(x + m, edge)];
    return {
      hole: at(cut, [
        [x - r, 0],
        [x + r, 0],
        [x + r, -cut.wall_mm],
        [x - r, -cut.wall_mm],
      ]),
      mesh: at(cut, [
        [left, 1.5],
        [right, 1.5],
      ]) as [Point, Point],
    };
  });
}

/** Each tie from its crossing at the trunk over the ball and down a hole, under the floor, and up again. */
export function ties(cut: CutValues): Point[][] {
  const top = surfaceOf(cut);
  const foot = (cut.trunk_mm ?? 20) / 2;
  const drawn = new Map(
    cut.ties.map((tie) => {
      const ends = [tie.first_mm, tie.second_mm].sort((a, b) => a - b) as [number, number];
      return [ends.map(Math.round).join(), ends];
    }),
  );
  return [...drawn.values()].map(([first, second]) =>
    at(cut, [
      [Math.max(first, -foot), top + 4],
      [first, top],
      [first, -cut.wall_mm - 2],
      [second, -cut.wall_mm - 2],
      [second, top],
      [Math.min(second, foot), top + 4],
    ]),
  );
}

/** The bar under the ball; empty where none is asked for. */
export function bar(cut: CutValues): Point[] {
  if (!cut.bar || !cut.ball) return [];
  const [y, half] = [surfaceOf(cut) - cut.ball.depth_mm - 3, cut.ball.length_mm * 0.3];
  return at(cut, [
    [-half, y],
    [half, y],
  ]);
}

/** The foot of the trunk: its left edge from the surface up, and its right edge down. */
export function trunk(cut: CutValues): Point[] {
  if (!cut.trunk_mm) return [];
  const [foot, top] = [cut.trunk_mm / 2, surfaceOf(cut)];
  const high = top + Math.max(LEAST_STUB_mm, cut.trunk_mm * STUB);
  const left = Array.from({ length: 9 }, (_, i) => {
    const y = top + ((high - top) * i * i) / 64; // close together where the flare bends
    return [-foot * (1 + 0.5 * Math.exp((-3 * (y - top)) / foot)), y] as const;
  });
  const right = left.map(([x, y]) => [-x, y] as const).reverse();
  return at(cut, [...left, ...right]);
}

/** The room that a cut takes up. */
export function boxOf(cut: CutValues): Box {
  const points = [...walls(cut), ...trunk(cut), ...ties(cut).flat()];
  const xs = points.map(([x]) => x);
  const ys = points.map(([, y]) => y);
  return {
    left: Math.min(...xs),
    right: Math.max(...xs),
    bottom: Math.min(...ys),
    top: Math.max(...ys),
  };
}

function at(cut: CutValues, points: readonly Point[]): Point[] {
  const stand = standing(cut);
  return points.map(([x, y]) => stand(x, y));
}
