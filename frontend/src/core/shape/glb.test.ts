import { expect, it } from 'vitest';

import { readGlb } from './glb';

/** A binary glTF file by its specification (version 2.0, section 4.4): header, JSON chunk, binary chunk. */
function glb(gltf: object, binary: ArrayBuffer): ArrayBuffer {
  const text = new TextEncoder().encode(JSON.stringify(gltf));
  const padded = Math.ceil(text.length / 4) * 4;
  const bytes = new Uint8Array(12 + 8 + padded + 8 + binary.byteLength).fill(0x20);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, 0x46546c67, true);
  view.setUint32(4, 2, true);
  view.setUint32(8, bytes.length, true);
  view.setUint32(12, padded, true);
  view.setUint32(16, 0x4e4f534a, true);
  bytes.set(text, 20);
  view.setUint32(20 + padded, binary.byteLength, true);
  view.setUint32(24 + padded, 0x004e4942, true);
  bytes.set(new Uint8Array(binary), 28 + padded);
  return bytes.buffer;
}

function triangle(): { gltf: Record<string, unknown>; binary: ArrayBuffer } {
  const binary = new ArrayBuffer(64);
  const view = new DataView(binary);
  // places in 16 bits with a stride of 8, then normals in 8 bits with a stride of 4, segments, indices
  [0, 0, 0, 1000, 0, 0, 0, 2000, 500].forEach((value, i) =>
    view.setUint16(8 * Math.floor(i / 3) + 2 * (i % 3), value, true),
  );
  [0, 0, 127, 0, 127, 0, 127, 0, 0].forEach((value, i) =>
    view.setInt8(24 + 4 * Math.floor(i / 3) + (i % 3), value),
  );
  [7, 7, 9].forEach((value, i) => view.setFloat32(36 + 4 * i, value, true));
  [0, 1, 2].forEach((value, i) => view.setUint16(48 + 2 * i, value, true));
  return {
    binary,
    gltf: {
      asset: { version: '2.0' },
      scene: 0,
      scenes: [{ nodes: [0] }],
      nodes: [{ mesh: 0, scale: [0.001, 0.001, 0.001], translation: [0.5, 0, 0] }],
      meshes: [{ primitives: [{ attributes: { POSITION: 0, NORMAL: 1, _SEGMENT: 2 }, indices: 3 }] }],
      accessors: [
        { bufferView: 0, componentType: 5123, count: 3, type: 'VEC3' },
        { bufferView: 1, componentType: 5120, count: 3, type: 'VEC3', normalized: true },
        { bufferView: 2, componentType: 5126, count: 3, type: 'SCALAR' },
        { bufferView: 3, componentType: 5123, count: 3, type: 'SCALAR' },
      ],
      bufferViews: [
        { byteOffset: 0, byteLength: 24, byteStride: 8 },
        { byteOffset: 24, byteLength: 12, byteStride: 4 },
        { byteOffset: 36, byteLength: 12 },
        { byteOffset: 48, byteLength: 6 },
      ],
    },
  };
}

it('reads places through the node, in mm, y to the back, z up', () => {
  const { gltf, binary } = triangle();
  const [part, ...others] = readGlb(glb(gltf, binary));
  expect(others).toEqual([]);
  // metres, y up, z to the front: (1.5, 0, 0), (0.5, 2, 0.5)
  [500, 0, 0, 1500, 0, 0, 500, -500, 2000].forEach((mm, i) =>
    expect(part!.positions_mm[i]).toBeCloseTo(mm, 3),
  );
  [0, -1, 0, 0, 0, 1, 1, 0, 0].forEach((value, i) => expect(part!.normals![i]).toBeCloseTo(value, 6));
  expect([...part!.segments!]).toEqual([7, 7, 9]);
  expect([...part!.indices]).toEqual([0, 1, 2]);
  expect(part!.isLines).toBe(false);
});

it('knows lines from surfaces and leaves instances out', () => {
  const { gltf, binary } = triangle();
  const lines = structuredClone(gltf) as { meshes: { primitives: { mode?: number }[] }[] };
  lines.meshes[0]!.primitives[0]!.mode = 1;
  expect(readGlb(glb(lines, binary))[0]!.isLines).toBe(true);
  const leaves = structuredClone(gltf) as { nodes: Record<string, unknown>[] };
  leaves.nodes[0]!['extensions'] = { EXT_mesh_gpu_instancing: { attributes: {} } };
  expect(readGlb(glb(leaves, binary))).toEqual([]);
});

it('refuses what is no such file, or is cut short', () => {
  const { gltf, binary } = triangle();
  const whole = glb(gltf, binary);
  expect(() => readGlb(new ArrayBuffer(3))).toThrow('no GLB file');
  expect(() => readGlb(new TextEncoder().encode('{"message":"no such tree"}').buffer)).toThrow('no GLB file');
  expect(() => readGlb(whole.slice(0, whole.byteLength - 20))).toThrow('too early');
});
