/** From the meshes of a file to what the graphics hardware draws in one call. */

import { BufferAttribute, BufferGeometry } from 'three';

import { cornerWays } from '../core/shape/cut';
import type { MeshPart } from '../core/shape/glb';
import type { CutLine } from '../core/shape/types';

export interface Built {
  surface: BufferGeometry;
  /** The thinnest twigs as lines; null where there are none. */
  lines: BufferGeometry | null;
  triangles: number;
}

/** One surface and one set of lines from all parts of a mesh, each corner with its way and its branch. */
export function builtOf(parts: readonly MeshPart[], line: CutLine | null): Built {
  const surfaces = parts.filter((part) => !part.isLines);
  const lines = parts.filter((part) => part.isLines);
  const surface = merged(surfaces, line);
  return {
    surface,
    lines: lines.length ? merged(lines, line) : null,
    triangles: (surface.index?.count ?? 0) / 3,
  };
}

function merged(parts: readonly MeshPart[], line: CutLine | null): BufferGeometry {
  const { positions, normals, segments, indices, isBare } = gathered(parts);
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(positions, 3));
  geometry.setAttribute('normal', new BufferAttribute(normals, 3));
  geometry.setIndex(new BufferAttribute(indices, 1));
  if (isBare) geometry.computeVertexNormals();
  const ways = line ? cornerWays(line, positions, segments) : new Float32Array(segments.length);
  const branches = new Float32Array(segments.length);
  for (let corner = 0; corner < segments.length; corner += 1) {
    branches[corner] = line?.branch[segments[corner]!] ?? -1;
  }
  geometry.setAttribute('way', new BufferAttribute(ways, 1));
  geometry.setAttribute('branch', new BufferAttribute(branches, 1));
  geometry.userData['segments'] = segments;
  return geometry;
}

/** The arrays of all parts one after the other; those of a single part as they are, without a copy. */
function gathered(parts: readonly MeshPart[]) {
  const isBare = parts.some((part) => !part.normals && !part.isLines);
  const [sole] = parts;
  if (sole && parts.length === 1) {
    const corners = sole.positions_mm.length / 3;
    return {
      positions: sole.positions_mm,
      normals: sole.normals ?? new Float32Array(3 * corners),
      segments: sole.segments ?? new Float32Array(corners),
      indices: sole.indices,
      isBare,
    };
  }
  const corners = parts.reduce((sum, part) => sum + part.positions_mm.length / 3, 0);
  const all = {
    positions: new Float32Array(3 * corners),
    normals: new Float32Array(3 * corners),
    segments: new Float32Array(corners),
    indices: new Uint32Array(parts.reduce((sum, part) => sum + part.indices.length, 0)),
    isBare,
  };
  let corner = 0;
  let index = 0;
  for (const part of parts) {
    all.positions.set(part.positions_mm, 3 * corner);
    if (part.normals) all.normals.set(part.normals, 3 * corner);
    if (part.segments) all.segments.set(part.segments, corner);
    for (const each of part.indices) all.indices[index++] = each + corner;
    corner += part.positions_mm.length / 3;
  }
  return all;
}

/** Wood of no size: drawn once, all that drawing wood needs is made before the tree has come. */
export function nothingOf(): BufferGeometry {
  const none = { isLines: false, segments: null, indices: new Uint32Array(3) };
  return merged([{ ...none, positions_mm: new Float32Array(3), normals: new Float32Array(3) }], null);
}

/** A ring of straight pieces about a place, across a way. */
export function ringOf(at: readonly number[], way: readonly number[], radius_mm: number): BufferGeometry {
  const PIECES = 48;
  const [x = 0, y = 0, z = 1] = way;
  const aside = Math.abs(z) < 0.9 ? [-y, x, 0] : [0, -z, y]; // never along the way
  const length = Math.hypot(...aside) || 1;
  const one = aside.map((value) => value / length);
  const two = [y * one[2]! - z * one[1]!, z * one[0]! - x * one[2]!, x * one[1]! - y * one[0]!];
  const places = new Float32Array(PIECES * 6);
  for (let piece = 0; piece < PIECES; piece += 1) {
    [piece, piece + 1].forEach((step, end) => {
      const turn = (step / PIECES) * 2 * Math.PI;
      for (let axis = 0; axis < 3; axis += 1) {
        places[6 * piece + 3 * end + axis] =
          at[axis]! + radius_mm * (Math.cos(turn) * one[axis]! + Math.sin(turn) * two[axis]!);
      }
    });
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute('position', new BufferAttribute(places, 3));
  return geometry;
}
