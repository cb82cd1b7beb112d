/** The app's own scene on a page of its own, for bench/app_scene.py: how long frames of a made tree take. */

import { frameOf, FRONT } from "../../frontend/src/core/shape/camera";
import { readGlb } from "../../frontend/src/core/shape/glb";
import type { CutLine } from "../../frontend/src/core/shape/types";
import { TreeScene } from "../../frontend/src/scene/scene";

const SIZE = { width_px: 800, height_px: 600 };
const LOOK = {
  ground: [0.93, 0.94, 0.95],
  ink: [0.1, 0.13, 0.17],
  light: [0.87, 0.85, 0.81],
  dark: [0.66, 0.61, 0.55],
  rim: [0.1, 0.13, 0.17],
  far: [0.24, 0.35, 0.5],
  hair: [0.76, 0.79, 0.82],
};
const canvas = document.querySelector("canvas")!;
const scene = new TreeScene(canvas, LOOK);
scene.setSize(SIZE.width_px, SIZE.height_px);
const seen = new Uint8Array(4 * SIZE.width_px * SIZE.height_px);

/** A frame, done for sure: all of it is read. */
function frame(): void {
  const gl = canvas.getContext("webgl2")!;
  scene.drawNow(); // and not again in the next frame
  gl.readPixels(
    0,
    0,
    SIZE.width_px,
    SIZE.height_px,
    gl.RGBA,
    gl.UNSIGNED_BYTE,
    seen,
  );
}

function median(values: number[]): number {
  return values.sort((a, b) => a - b)[values.length >> 1]!;
}

const nextFrame = () =>
  new Promise<number>((next) => requestAnimationFrame(next));

/** Milliseconds from one frame to the next while the tree is turned: what an eye sees. */
async function turnedFrames(
  count: number,
  isMoving: boolean,
  box: Parameters<typeof frameOf>[0],
): Promise<number[]> {
  const times: number[] = [];
  let before = await nextFrame();
  for (let i = 0; i < count; i += 1) {
    const view = { ...FRONT, clock: 6 + 0.13 * i, elevation_deg: 10 };
    scene.look(view, frameOf(box, view, SIZE));
    if (isMoving) scene.moves();
    frame();
    const now = await nextFrame();
    times.push(now - before);
    before = now;
  }
  return times;
}

async function measure(frames: number) {
  const [light, full, about] = await Promise.all([
    fetch("./light.glb").then((answer) => answer.arrayBuffer()),
    fetch("./full.glb").then((answer) => answer.arrayBuffer()),
    fetch("./tree.json").then(
      (answer) =>
        answer.json() as Promise<{
          cut: CutLine;
          box: Parameters<typeof frameOf>[0];
        }>,
    ),
  ]);
  await turnedFrames(5, false, about.box); // programs are compiled
  const empty_ms = median(await turnedFrames(3 * frames, false, about.box));
  const begin = performance.now();
  scene.setMesh("full", readGlb(full), about.cut);
  scene.look(FRONT, frameOf(about.box, FRONT, SIZE));
  frame();
  const first_ms = performance.now() - begin;
  scene.setMesh("light", readGlb(light), about.cut);
  await turnedFrames(2, true, about.box);
  const light_ms = median(await turnedFrames(frames, true, about.box));
  const lightDrawn = { ...scene.drawn };
  await new Promise((rest) => setTimeout(rest, 400));
  await turnedFrames(1, false, about.box);
  const full_ms = median(await turnedFrames(frames, false, about.box));
  return {
    empty_ms,
    first_ms,
    light_ms,
    full_ms,
    light: lightDrawn,
    full: { ...scene.drawn },
  };
}

Object.assign(window, { measure });
