/** Reads the meshes of a binary glTF 2.0 file: as much of the standard as a tree of the house needs. */

/** One mesh in the house's axes: mm, x right, y to the back, z up. */
export interface MeshPart {
  isLines: boolean;
  positions_mm: Float32Array;
  normals: Float32Array | null;
  /** For each corner the row of its segment. */
  segments: Float32Array | null;
  indices: Uint32Array;
}

const MAGIC = 0x46546c67;
const JSON_CHUNK = 0x4e4f534a;
const BIN_CHUNK = 0x004e4942;
const LINES = 1;
const TRIANGLES = 4;
const SIZES: Readonly<Record<string, number>> = { SCALAR: 1, VEC2: 2, VEC3: 3, VEC4: 4, MAT4: 16 };

interface Accessor {
  bufferView?: number;
  byteOffset?: number;
  componentType: number;
  count: number;
  type: string;
  normalized?: boolean;
}
interface Gltf {
  accessors?: Accessor[];
  bufferViews?: { byteOffset?: number; byteLength: number; byteStride?: number }[];
  meshes?: { primitives: { mode?: number; indices?: number; attributes: Record<string, number> }[] }[];
  nodes?: {
    mesh?: number;
    children?: number[];
    matrix?: number[];
    translation?: number[];
    rotation?: number[];
    scale?: number[];
    extensions?: Record<string, unknown>;
  }[];
  scenes?: { nodes?: number[] }[];
  scene?: number;
}

type Matrix = readonly number[]; // 16 values, column after column

const SAME: Matrix = [1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1, 0, 0, 0, 0, 1];

/** The meshes of a file. Throws where it is none, or holds what is not read here. */
export function readGlb(bytes: ArrayBuffer): MeshPart[] {
  const { gltf, binary } = chunks(bytes);
  const roots = gltf.scenes?.[gltf.scene ?? 0]?.nodes ?? gltf.nodes?.map((_node, index) => index) ?? [];
  const parts: MeshPart[] = [];
  const walk = (index: number, above: Matrix): void => {
    const node = gltf.nodes?.[index];
    if (!node) throw new Error(`no node ${index}`);
    const own = product(above, matrixOf(node));
    const isInstanced = node.extensions?.['EXT_mesh_gpu_instancing'] !== undefined; // leaves; not drawn here
    if (node.mesh !== undefined && !isInstanced) {
      for (const primitive of gltf.meshes?.[node.mesh]?.primitives ?? []) {
        const part = partOf(gltf, binary, primitive, own);
        if (part) parts.push(part);
      }
    }
    node.children?.forEach((child) => walk(child, own));
  };
  roots.forEach((root) => walk(root, SAME));
  return parts;
}

function chunks(bytes: ArrayBuffer): { gltf: Gltf; binary: DataView } {
  const view = new DataView(bytes);
  if (bytes.byteLength < 20 || view.getUint32(0, true) !== MAGIC) throw new Error('no GLB file');
  let gltf: Gltf | undefined;
  let binary = new DataView(new ArrayBuffer(0));
  for (let at = 12; at + 8 <= bytes.byteLength;) {
    const length = view.getUint32(at, true);
    const sort = view.getUint32(at + 4, true);
    if (at + 8 + length > bytes.byteLength) throw new Error('a GLB file that ends too early');
    if (sort === JSON_CHUNK) {
      gltf = JSON.parse(new TextDecoder().decode(new Uint8Array(bytes, at + 8, length))) as Gltf;
    } else if (sort === BIN_CHUNK) binary = new DataView(bytes, at + 8, length);
    at += 8 + length;
  }
  if (!gltf) throw new Error('a GLB file without its JSON');
  return { gltf, binary };
}

function partOf(
  gltf: Gltf,
  binary: DataView,
  primitive: { mode?: number; indices?: number; attributes: Record<string, number> },
  matrix: Matrix,
): MeshPart | null {
  const mode = primitive.mode ?? TRIANGLES;
  const { POSITION, NORMAL, _SEGMENT } = primitive.attributes;
  if (POSITION === undefined || (mode !== TRIANGLES && mode !== LINES)) return null;
  const positions = valuesOf(gltf, binary, POSITION);
  const count = positions.length / 3;
  return {
    isLines: mode === LINES,
    positions_mm: houseAxes(positions, matrix, 1000, true),
    normals: NORMAL === undefined ? null : houseAxes(valuesOf(gltf, binary, NORMAL), matrix, 1, false),
    segments: _SEGMENT === undefined ? null : valuesOf(gltf, binary, _SEGMENT),
    indices:
      primitive.indices === undefined
        ? Uint32Array.from({ length: count }, (_each, index) => index)
        : indicesOf(gltf, binary, primitive.indices),
  };
}

type Numbers = Int8Array | Uint8Array | Int16Array | Uint16Array | Uint32Array | Float32Array;

function valuesOf(gltf: Gltf, binary: DataView, index: number): Float32Array {
  const { items, size, stride, count, scale } = arrayOf(gltf, binary, index);
  const out = new Float32Array(count * size);
  for (let item = 0, at = 0, from = 0; item < count; item += 1, from += stride) {
    for (let part = 0; part < size; part += 1) out[at++] = items[from + part]! * scale;
  }
  return out;
}

function indicesOf(gltf: Gltf, binary: DataView, index: number): Uint32Array {
  const { items, stride, count } = arrayOf(gltf, binary, index);
  if (stride === 1) return Uint32Array.from(items.subarray(0, count) as Uint16Array);
  throw new Error(`accessor ${index} is not read here`);
}

/** The numbers of an accessor where they lie, and how they lie; the standard aligns them to their own size. */
function arrayOf(gltf: Gltf, binary: DataView, index: number) {
  const accessor = gltf.accessors?.[index];
  const view = accessor?.bufferView === undefined ? undefined : gltf.bufferViews?.[accessor.bufferView];
  const size = SIZES[accessor?.type ?? ''];
  const component = COMPONENTS[accessor?.componentType ?? 0];
  if (!accessor || !view || !size || !component) throw new Error(`accessor ${index} is not read here`);
  const { Kind, most } = component;
  const bytes = Kind.BYTES_PER_ELEMENT;
  const step = view.byteStride ?? bytes * size;
  const start = binary.byteOffset + (view.byteOffset ?? 0) + (accessor.byteOffset ?? 0);
  const length = accessor.count ? ((accessor.count - 1) * step) / bytes + size : 0;
  if (step % bytes || start % bytes) throw new Error(`accessor ${index} is not aligned`);
  return {
    items: new Kind(binary.buffer as ArrayBuffer, start, length) as Numbers,
    size,
    stride: step / bytes,
    count: accessor.count,
    scale: accessor.normalized ? 1 / most : 1,
  };
}

type Kind = new (buffer: ArrayBuffer, start: number, length: number) => Numbers;

const COMPONENTS: Readonly<Record<number, { Kind: Kind & { BYTES_PER_ELEMENT: number }; most: number }>> = {
  5120: { Kind: Int8Array, most: 127 },
  5121: { Kind: Uint8Array, most: 255 },
  5122: { Kind: Int16Array, most: 32767 },
  5123: { Kind: Uint16Array, most: 65535 },
  5125: { Kind: Uint32Array, most: 4294967295 },
  5126: { Kind: Float32Array, most: 1 },
};

/** From the standard's axes (metres, y up, z to the front) to the house's, through a node's matrix. */
function houseAxes(values: Float32Array, m: Matrix, scale: number, isPlace: boolean): Float32Array {
  const out = new Float32Array(values.length);
  const turn = new Float64Array(m); // a plain array of numbers is read at half the speed
  const shift = isPlace ? 1 : 0;
  for (let at = 0; at < values.length; at += 3) {
    const x = values[at]!;
    const y = values[at + 1]!;
    const z = values[at + 2]!;
    const across = turn[0]! * x + turn[4]! * y + turn[8]! * z + turn[12]! * shift;
    const up = turn[1]! * x + turn[5]! * y + turn[9]! * z + turn[13]! * shift;
    const front = turn[2]! * x + turn[6]! * y + turn[10]! * z + turn[14]! * shift;
    const length = isPlace ? 1 : Math.sqrt(across * across + up * up + front * front) || 1;
    out[at] = (across * scale) / length;
    out[at + 1] = (-front * scale) / length;
    out[at + 2] = (up * scale) / length;
  }
  return out;
}

function matrixOf(node: NonNullable<Gltf['nodes']>[number]): Matrix {
  if (node.matrix) return node.matrix;
  const [tx = 0, ty = 0, tz = 0] = node.translation ?? [];
  const [x = 0, y = 0, z = 0, w = 1] = node.rotation ?? [];
  const [sx = 1, sy = 1, sz = 1] = node.scale ?? [];
  return [
    (1 - 2 * (y * y + z * z)) * sx,
    2 * (x * y + z * w) * sx,
    2 * (x * z - y * w) * sx,
    0,
    2 * (x * y - z * w) * sy,
    (1 - 2 * (x * x + z * z)) * sy,
    2 * (y * z + x * w) * sy,
    0,
    2 * (x * z + y * w) * sz,
    2 * (y * z - x * w) * sz,
    (1 - 2 * (x * x + y * y)) * sz,
    0,
    tx,
    ty,
    tz,
    1,
  ];
}

function product(a: Matrix, b: Matrix): Matrix {
  return Array.from({ length: 16 }, (_each, index) => {
    const [column, row] = [index >> 2, index & 3];
    return [0, 1, 2, 3].reduce((sum, k) => sum + a[4 * k + row]! * b[4 * column + k]!, 0);
  });
}
