/** Silhouettes as two paths: what is known (ink) and what is guessed (an outline). */

import type { PlanStroke } from './types';

export interface DrawnFigure {
  /** Path of the wood, filled; y runs down, the soil is 0. */
  wood: string;
  /** Outline of a guessed crown; empty where the tree was measured. */
  crown: string;
}

/**
 * The paths of a figure, in mm. All polygons turn the same way round, so that none cuts a hole into another.
 * A sketch claims no branch: of its wood only the trunk is drawn, which by the server's order comes last.
 */
export function drawnFigure(strokes: readonly PlanStroke[], isSketch: boolean): DrawnFigure {
  const paths = { wood: '', crown: '' };
  const trunk = strokes.findLast((stroke) => stroke.tone === 'wood');
  for (const stroke of strokes) {
    if (isSketch && stroke.tone === 'wood' && stroke !== trunk) continue;
    const polygon = stroke.width_mm > 0 ? ribbon(stroke.points, stroke.width_mm) : stroke.points;
    if (polygon.length >= 6)
      paths[stroke.tone] += stroke.tone === 'crown' ? rounding(polygon) : closed(polygon);
  }
  return paths;
}

/** Twice the area that a polygon encloses, positive where it turns from x to y. */
export function turn(points: readonly number[]): number {
  let sum = 0;
  for (let i = 0; i < points.length; i += 2) {
    const j = (i + 2) % points.length;
    sum += points[i]! * points[j + 1]! - points[j]! * points[i + 1]!;
  }
  return sum;
}

/** A line with a width as a polygon around it. */
export function ribbon(points: readonly number[], width: number): number[] {
  const count = points.length / 2;
  if (count < 2) return [];
  const there: number[] = [];
  const back: number[] = [];
  for (let i = 0; i < count; i += 1) {
    const before = Math.max(i - 1, 0);
    const after = Math.min(i + 1, count - 1);
    const dx = points[2 * after]! - points[2 * before]!;
    const dy = points[2 * after + 1]! - points[2 * before + 1]!;
    const size = Math.hypot(dx, dy) || 1;
    const [nx, ny] = [(-dy / size) * (width / 2), (dx / size) * (width / 2)];
    there.push(points[2 * i]! + nx, points[2 * i + 1]! + ny);
    back.unshift(points[2 * i]! - nx, points[2 * i + 1]! - ny);
  }
  return [...there, ...back];
}

function closed(points: readonly number[]): string {
  const pairs: string[] = [];
  for (let i = 0; i < points.length; i += 2) {
    pairs.push(`${rounded(points[i]!)} ${rounded(-points[i + 1]!)}`);
  }
  return `M${(turn(points) < 0 ? pairs.reverse() : pairs).join('L')}Z`;
}

/** A closed line that rounds its corners: a guessed outline has none. */
function rounding(points: readonly number[]): string {
  const count = points.length / 2;
  const at = (i: number): [number, number] => [points[2 * (i % count)]!, -points[2 * (i % count) + 1]!];
  const middle = (i: number): string => {
    const [[ax, ay], [bx, by]] = [at(i), at(i + 1)];
    return `${rounded((ax + bx) / 2)} ${rounded((ay + by) / 2)}`;
  };
  const bends = Array.from({ length: count }, (_, i) => {
    const [x, y] = at(i + 1);
    return `Q${rounded(x)} ${rounded(y)} ${middle(i + 1)}`;
  });
  return `M${middle(0)}${bends.join('')}Z`;
}

function rounded(value: number): number {
  return Math.round(value * 10) / 10 + 0; // + 0 turns -0 into 0
}

const POT_TAPER = 0.86; // foot of a pot against its rim; drawing only, its shape is not recorded in section

/** A pot as a trapezoid under the trunk, its rim at the soil, in mm. */
export function potPath(length_mm: number, depth_mm: number): string {
  const [rim, foot] = [length_mm / 2, (POT_TAPER * length_mm) / 2];
  return `M${rounded(-rim)} 0L${rounded(-foot)} ${rounded(depth_mm)}L${rounded(foot)} ${rounded(depth_mm)}L${rounded(rim)} 0Z`;
}
