/** How wood is drawn: unlit, its shade from the bent of the surface, its rim as a drawn line, what is cut off lighter. */

import { GLSL3, Matrix4, RawShaderMaterial, Vector3, Vector4 } from 'three';

/** The colours of the house as they hold now, each red, green, blue from 0 to 1. */
export interface Look {
  ground: readonly number[];
  ink: readonly number[];
  light: readonly number[];
  dark: readonly number[];
  rim: readonly number[];
  far: readonly number[];
  hair: readonly number[];
}

const CORNER = `
precision highp float;
in vec3 position;
in vec3 normal;
in float way;
in float branch;
uniform mat4 toClip;
uniform vec3 eye;
uniform vec3 lamp;
uniform float pad_mm;
out float vShade;
out float vFacing;
out float vWay;
out float vBranch;
void main() {
  gl_Position = toClip * vec4(position + normal * pad_mm, 1.0);
  vShade = 0.5 + 0.5 * dot(normal, lamp);
  vFacing = dot(normal, eye);
  vWay = way;
  vBranch = branch;
}`;

// The drawn line at the rim is as wide on a twig as on the trunk: near its edge a round surface turns away with
// the root of the distance, so that half of facing over its change a pixel is that distance in pixels.
const EDGE = `
float edge(float facing) {
  float away = 0.5 * abs(facing) / max(fwidth(facing), 1e-4);
  return 1.0 - smoothstep(line_px * 0.5, line_px * 1.5, away);
}`;

const POINT = `
precision highp float;
uniform float line_px;
${EDGE}
in float vShade;
in float vFacing;
in float vWay;
in float vBranch;
uniform vec3 ground;
uniform vec3 ink;
uniform vec3 light;
uniform vec3 dark;
uniform vec3 rim;
uniform float cut_mm;
uniform vec4 picked;
uniform float isLine;
out vec4 colour;
void main() {
  vec3 tone = mix(dark, light, smoothstep(0.1, 0.95, vShade));
  tone = mix(tone, rim, isLine > 0.5 ? 0.75 : 0.85 * edge(vFacing));
  if (any(lessThan(abs(vec4(vBranch) - picked), vec4(0.5)))) tone = mix(tone, ink, 0.72);
  if (vWay >= cut_mm) tone = mix(tone, ground, 0.7);
  colour = vec4(tone, 1.0);
}`;

// an earlier state is hatched, so that both states are seen where they lie on each other
const HATCHED = `
precision highp float;
uniform float line_px;
${EDGE}
in float vShade;
in float vFacing;
in float vWay;
in float vBranch;
uniform vec3 far;
out vec4 colour;
void main() {
  if (edge(vFacing) < 0.5 && mod(gl_FragCoord.x + gl_FragCoord.y, 7.0 * line_px) > 1.5 * line_px) discard;
  colour = vec4(far, 1.0);
}`;

export const NO_CUT_mm = 1e9;
export const NONE = -2;

/** What all materials of a scene share and the scene sets. */
export interface Shared {
  toClip: { value: Matrix4 };
  eye: { value: Vector3 };
  lamp: { value: Vector3 };
  pad_mm: { value: number };
  /** Width of a drawn line in pixels of the canvas. */
  line_px: { value: number };
  cut_mm: { value: number };
  /** Branches of the list; what is free holds NONE. */
  picked: { value: Vector4 };
  ground: { value: Vector3 };
  ink: { value: Vector3 };
  light: { value: Vector3 };
  dark: { value: Vector3 };
  rim: { value: Vector3 };
  far: { value: Vector3 };
  hair: { value: Vector3 };
}

export function sharedOf(look: Look): Shared {
  const shared: Shared = {
    toClip: { value: new Matrix4() },
    eye: { value: new Vector3() },
    lamp: { value: new Vector3() },
    pad_mm: { value: 0 },
    line_px: { value: 1 },
    cut_mm: { value: NO_CUT_mm },
    picked: { value: new Vector4(NONE, NONE, NONE, NONE) },
    ground: { value: new Vector3() },
    ink: { value: new Vector3() },
    light: { value: new Vector3() },
    dark: { value: new Vector3() },
    rim: { value: new Vector3() },
    far: { value: new Vector3() },
    hair: { value: new Vector3() },
  };
  setLook(shared, look);
  return shared;
}

export function setLook(shared: Shared, look: Look): void {
  for (const name of Object.keys(look) as (keyof Look)[]) {
    const [red = 0, green = 0, blue = 0] = look[name];
    shared[name].value.set(red, green, blue);
  }
}

export function woodOf(shared: Shared, isLine: boolean): RawShaderMaterial {
  return new RawShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: CORNER,
    fragmentShader: POINT,
    uniforms: { ...shared, isLine: { value: isLine ? 1 : 0 } },
  });
}

export function earlierOf(shared: Shared): RawShaderMaterial {
  return new RawShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: CORNER,
    fragmentShader: HATCHED,
    uniforms: { ...shared },
  });
}

/** Plain lines in one colour: the soil, the plane of the cut. */
export function lineOf(shared: Shared, colour: 'ink' | 'hair'): RawShaderMaterial {
  return new RawShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: `precision highp float; in vec3 position; uniform mat4 toClip;
      void main() { gl_Position = toClip * vec4(position, 1.0); }`,
    fragmentShader: `precision highp float; uniform vec3 tone; out vec4 colour;
      void main() { colour = vec4(tone, 1.0); }`,
    uniforms: { toClip: shared.toClip, tone: shared[colour] },
  });
}

/** Lays a finished picture on the canvas, transparent where nothing was drawn. */
export function pictureOf(): RawShaderMaterial {
  return new RawShaderMaterial({
    glslVersion: GLSL3,
    vertexShader: `precision highp float; in vec3 position; out vec2 at;
      void main() { at = position.xy * 0.5 + 0.5; gl_Position = vec4(position.xy, 0.0, 1.0); }`,
    fragmentShader: `precision highp float; uniform sampler2D picture; in vec2 at; out vec4 colour;
      void main() { colour = texture(picture, at); }`,
    uniforms: { picture: { value: null } },
    depthTest: false,
    depthWrite: false,
  });
}
