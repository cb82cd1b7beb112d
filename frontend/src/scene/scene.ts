/** The tree in space on a canvas that is drawn only when something changed. The one folder that knows three.js. */

import {
  BufferAttribute,
  BufferGeometry,
  Camera,
  LineSegments,
  Mesh,
  Raycaster,
  Scene,
  Vector2,
  Vector3,
  WebGLRenderer,
  WebGLRenderTarget,
  type RawShaderMaterial,
} from 'three';

import { axesOf, type Frame, type View } from '../core/shape/camera';
import { detailNow, pixelRatio, REST_ms, type Detail } from '../core/shape/detail';
import type { MeshPart } from '../core/shape/glb';
import type { CutLine } from '../core/shape/types';
import { builtOf, nothingOf, ringOf, type Built } from './geometry';
import {
  earlierOf,
  lineOf,
  NO_CUT_mm,
  NONE,
  pictureOf,
  setLook,
  sharedOf,
  woodOf,
  type Look,
  type Shared,
} from './wood';

export type { Look } from './wood';

const TOUCH_px = 12; // a finger is no needle: so far about a tap is searched
const THIN_px = 0.35; // wood is drawn this much wider on either side, so that no twig falls between two pixels
const LINE_px = 1;
const SAMPLES = 4;
const MOST_SMOOTHED = 150_000; // triangles; more of them hide their own steps, and cost twice the time

/** What was drawn last, for tests and measuring. */
export interface Drawn {
  detail: Detail | null;
  calls: number;
  triangles: number;
}

/** Whether this browser draws in space at all. */
export function canDraw(): boolean {
  try {
    return document.createElement('canvas').getContext('webgl2') !== null;
  } catch {
    return false;
  }
}

export class TreeScene {
  drawn: Drawn = { detail: null, calls: 0, triangles: 0 };
  readonly #renderer: WebGLRenderer;
  readonly #scene = new Scene();
  readonly #camera = new Camera();
  readonly #shared: Shared;
  readonly #wood: RawShaderMaterial;
  readonly #twig: RawShaderMaterial;
  readonly #old: RawShaderMaterial;
  readonly #ink: RawShaderMaterial;
  readonly #hair: RawShaderMaterial;
  readonly #picture = pictureOf();
  readonly #sheet: Mesh;
  readonly #sheetScene = new Scene();
  readonly #size = new Vector2();
  readonly #ondrawn: (drawn: Drawn) => void;
  #meshes: Partial<Record<Detail, { surface: Mesh; lines: LineSegments | null; built: Built }>> = {};
  #earlier: Mesh | null = null;
  #ring: LineSegments | null = null;
  #soil: LineSegments | null = null;
  #smooth: WebGLRenderTarget | null = null;
  #asked = 0;
  #resting = 0;
  #isMoving = false;
  #isGone = false;

  constructor(canvas: HTMLCanvasElement, look: Look, ondrawn: (drawn: Drawn) => void = () => undefined) {
    this.#renderer = new WebGLRenderer({
      canvas,
      alpha: true,
      antialias: false,
      powerPreference: 'low-power',
    });
    this.#renderer.setClearAlpha(0);
    this.#renderer.info.autoReset = false;
    this.#shared = sharedOf(look);
    this.#wood = woodOf(this.#shared, false);
    this.#twig = woodOf(this.#shared, true);
    this.#old = earlierOf(this.#shared);
    this.#ink = lineOf(this.#shared, 'ink');
    this.#hair = lineOf(this.#shared, 'hair');
    this.#ondrawn = ondrawn;
    const whole = new BufferGeometry();
    whole.setAttribute('position', new BufferAttribute(new Float32Array([-1, -1, 0, 3, -1, 0, -1, 3, 0]), 3));
    this.#sheet = new Mesh(whole, this.#picture);
    this.#sheet.frustumCulled = false;
    this.#sheetScene.add(this.#sheet);
    this.#camera.matrixAutoUpdate = false;
    this.#scene.matrixAutoUpdate = false;
    this.#warm();
    canvas.addEventListener('webglcontextrestored', this.#again);
  }

  readonly #again = (): void => this.draw();

  /** Has the programs of the wood made while the tree is on its way: they take as long as a frame of all of it. */
  #warm(): void {
    const nothing = nothingOf();
    const each = [new Mesh(nothing, this.#wood), new LineSegments(nothing, this.#twig)];
    for (const one of each) one.frustumCulled = false;
    this.#scene.add(...each);
    this.#renderer.render(this.#scene, this.#camera);
    this.#scene.remove(...each);
    nothing.dispose();
  }

  /** The tree in one of its two details; the line tells each corner where a cut takes it off. */
  setMesh(detail: Detail, parts: readonly MeshPart[], line: CutLine): void {
    this.#drop(detail);
    const built = builtOf(parts, line);
    const surface = new Mesh(built.surface, this.#wood);
    const lines = built.lines ? new LineSegments(built.lines, this.#twig) : null;
    for (const each of [surface, lines]) {
      if (!each) continue;
      each.frustumCulled = false;
      each.visible = false;
      this.#scene.add(each);
    }
    this.#meshes[detail] = { surface, lines, built };
    this.draw();
  }

  /** Whether a detail is there. */
  has(detail: Detail): boolean {
    return this.#meshes[detail] !== undefined;
  }

  /** Takes the tree away, as before another one comes. */
  clear(): void {
    this.#drop('light');
    this.#drop('full');
    this.setEarlier(null);
  }

  /** An earlier state to be laid over, or none. */
  setEarlier(parts: readonly MeshPart[] | null): void {
    if (this.#earlier) {
      this.#scene.remove(this.#earlier);
      this.#earlier.geometry.dispose();
      this.#earlier = null;
    }
    if (parts) {
      this.#earlier = new Mesh(builtOf(parts, null).surface, this.#old);
      this.#earlier.frustumCulled = false;
      this.#earlier.renderOrder = 3;
      this.#earlier.onBeforeRender = (renderer) => renderer.clearDepth(); // seen through what stands before it
      this.#scene.add(this.#earlier);
    }
    this.draw();
  }

  /** The cut at a way along the trunk with its ring about the trunk, or none. */
  setCut(cut: { along_mm: number; at: number[]; way: number[]; radius_mm: number } | null): void {
    this.#shared.cut_mm.value = cut ? cut.along_mm : NO_CUT_mm;
    this.#ring = this.#outline(this.#ring, cut ? ringOf(cut.at, cut.way, cut.radius_mm) : null, this.#ink);
    this.draw();
  }

  /** A circle on the soil, which is the line of the soil from the side. */
  setSoil(radius_mm: number): void {
    this.#soil = this.#outline(this.#soil, ringOf([0, 0, 0], [0, 0, 1], radius_mm), this.#hair);
    this.draw();
  }

  /** The branches of the list that are picked out, four at the most. */
  setPicked(branches: readonly number[]): void {
    this.#shared.picked.value.set(NONE, NONE, NONE, NONE);
    branches.slice(0, 4).forEach((branch, i) => this.#shared.picked.value.setComponent(i, branch));
    this.draw();
  }

  setLook(look: Look): void {
    setLook(this.#shared, look);
    this.draw();
  }

  setSize(width_px: number, height_px: number): void {
    const ratio = pixelRatio(devicePixelRatio);
    this.#renderer.setPixelRatio(ratio);
    this.#shared.line_px.value = LINE_px * ratio;
    this.#renderer.setSize(width_px, height_px, false);
    this.#smooth?.dispose();
    this.#smooth = null;
    this.draw();
  }

  /** Looks from a side, without perspective. */
  look(view: View, frame: Frame): void {
    const { right, up, eye } = axesOf(view);
    const [x, y] = [2 / (frame.width_px * frame.mm_per_px), 2 / (frame.height_px * frame.mm_per_px)];
    const deep = -1 / Math.max(1e4, 8 * frame.mm_per_px * Math.max(frame.width_px, frame.height_px));
    const rows = [
      [right, x],
      [up, y],
      [eye, deep],
    ] as const;
    const values = rows.flatMap(([axis, scale]) => {
      const row = axis.map((value) => value * scale);
      return [...row, -row.reduce((sum, value, i) => sum + value * frame.middle[i]!, 0)];
    });
    this.#shared.toClip.value.fromArray([...values, 0, 0, 0, 1]).transpose(); // row after row
    this.#light(right, up, eye);
    this.#shared.pad_mm.value = THIN_px * frame.mm_per_px;
    this.draw();
  }

  /** Looks through the camera of a photo: its matrix, column after column, and its axes. */
  lookThrough(matrix: readonly number[], r: readonly (readonly number[])[]): void {
    this.#shared.toClip.value.fromArray(matrix as number[]);
    this.#light(
      r[0]!,
      r[1]!.map((value) => -value),
      r[2]!.map((value) => -value),
    );
    this.#shared.pad_mm.value = 0.1;
    this.draw();
  }

  /** Something moves: the light detail is drawn until it has come to rest. */
  moves(): void {
    this.#isMoving = true;
    clearTimeout(this.#resting);
    this.draw();
  }

  /** Draws once, in the next frame; asked often, drawn once. */
  draw(): void {
    if (this.#isGone || this.#asked) return;
    this.#asked = requestAnimationFrame(() => {
      this.#asked = 0;
      this.drawNow();
    });
  }

  /** Draws at once. */
  drawNow(): void {
    if (this.#isGone) return;
    cancelAnimationFrame(this.#asked);
    this.#asked = 0;
    const detail = detailNow(this.#isMoving, { light: this.has('light'), full: this.has('full') });
    for (const each of ['light', 'full'] as const) {
      const mesh = this.#meshes[each];
      if (!mesh) continue;
      mesh.surface.visible = each === detail;
      if (mesh.lines) mesh.lines.visible = each === detail;
    }
    this.#renderer.info.reset();
    const isSmooth = (this.#meshes[detail ?? 'light']?.built.triangles ?? 0) <= MOST_SMOOTHED;
    if (!this.#isMoving && detail && isSmooth) this.#smoothly();
    else this.#renderer.render(this.#scene, this.#camera);
    const { calls, triangles } = this.#renderer.info.render;
    this.drawn = { detail, calls, triangles };
    this.#ondrawn(this.drawn);
    if (this.#isMoving) this.#restSoon();
  }

  /** It rests some time after its last frame: counted from the event, a slow frame would be taken for a rest. */
  #restSoon(): void {
    clearTimeout(this.#resting);
    this.#resting = window.setTimeout(() => {
      this.#isMoving = false;
      this.draw();
    }, REST_ms);
  }

  /** The segment under a place of the canvas, in px from its upper left; null where there is no wood. */
  pick(across_px: number, down_px: number, size: { width_px: number; height_px: number }): number | null {
    const mesh = this.#meshes.light ?? this.#meshes.full;
    if (!mesh) return null;
    const back = this.#shared.toClip.value.clone().invert();
    const caster = new Raycaster();
    const rings = [0, TOUCH_px / 2, TOUCH_px];
    for (const radius of rings) {
      for (let step = 0; step < (radius ? 8 : 1); step += 1) {
        const turn = (step / 8) * 2 * Math.PI;
        const x = (2 * (across_px + Math.cos(turn) * radius)) / size.width_px - 1;
        const y = 1 - (2 * (down_px + Math.sin(turn) * radius)) / size.height_px;
        const near = new Vector3(x, y, -1).applyMatrix4(back);
        const far = new Vector3(x, y, 1).applyMatrix4(back);
        caster.set(near, far.sub(near).normalize());
        const hit = caster.intersectObject(mesh.surface, false)[0];
        if (hit?.face) return (mesh.built.surface.userData['segments'] as Float32Array)[hit.face.a] ?? null;
      }
    }
    return null;
  }

  /** Gives all memory back; nothing is drawn afterwards. */
  free(): void {
    this.#isGone = true;
    cancelAnimationFrame(this.#asked);
    clearTimeout(this.#resting);
    this.#renderer.domElement.removeEventListener('webglcontextrestored', this.#again);
    this.#drop('light');
    this.#drop('full');
    this.#earlier?.geometry.dispose();
    this.#ring?.geometry.dispose();
    this.#soil?.geometry.dispose();
    this.#sheet.geometry.dispose();
    this.#smooth?.dispose();
    for (const material of [this.#wood, this.#twig, this.#old, this.#ink, this.#hair, this.#picture]) {
      material.dispose();
    }
    this.#renderer.dispose();
    this.#renderer.forceContextLoss();
  }

  /** At rest edges are smoothed: drawn with several samples a pixel, then laid on the canvas. */
  #smoothly(): void {
    const size = this.#renderer.getDrawingBufferSize(this.#size);
    if (!this.#smooth) {
      this.#smooth = new WebGLRenderTarget(size.x, size.y, { samples: SAMPLES });
      this.#picture.uniforms['picture']!.value = this.#smooth.texture;
    }
    this.#renderer.setRenderTarget(this.#smooth);
    this.#renderer.clear();
    this.#renderer.render(this.#scene, this.#camera);
    this.#renderer.setRenderTarget(null);
    this.#renderer.render(this.#sheetScene, this.#camera);
  }

  #light(right: ArrayLike<number>, up: ArrayLike<number>, eye: ArrayLike<number>): void {
    this.#shared.eye.value.fromArray(eye as number[]);
    // as on every drawing: from the upper left, before the sheet
    const lamp = [0, 1, 2].map((axis) => -0.5 * right[axis]! + 0.65 * up[axis]! + 0.57 * eye[axis]!);
    this.#shared.lamp.value.fromArray(lamp).normalize();
  }

  #outline(
    old: LineSegments | null,
    geometry: BufferGeometry | null,
    material: RawShaderMaterial,
  ): LineSegments | null {
    if (old) {
      this.#scene.remove(old);
      old.geometry.dispose();
    }
    if (!geometry) return null;
    const ring = new LineSegments(geometry, material);
    ring.frustumCulled = false;
    ring.renderOrder = 2;
    this.#scene.add(ring);
    return ring;
  }

  #drop(detail: Detail): void {
    const mesh = this.#meshes[detail];
    if (!mesh) return;
    this.#scene.remove(mesh.surface);
    mesh.surface.geometry.dispose();
    if (mesh.lines) {
      this.#scene.remove(mesh.lines);
      mesh.lines.geometry.dispose();
    }
    delete this.#meshes[detail];
  }
}
