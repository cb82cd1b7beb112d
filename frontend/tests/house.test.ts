import { describe, expect, it } from 'vitest';

import { importDirections, knownFolder, length, policy, sceneIsFetched, wordsFromCatalogue } from './rules';
import { sources, type Source } from './sources';

const RULES = { importDirections, knownFolder, length, policy, sceneIsFetched, wordsFromCatalogue };

describe.each(Object.entries(RULES))('rule %s', (_name, rule) => {
  it('holds in the app', () => {
    const files = sources();
    expect(files.length).toBeGreaterThan(15);
    expect(files.flatMap((file) => rule(file))).toEqual([]);
  }, 30_000); // every file of the app is parsed
});

const at = (path: string, text: string): Source => ({ path, text });

describe('a planted fault is caught', () => {
  it.each([
    ['core/a.ts', "import { t } from '../words/words.svelte';"],
    ['core/a.ts', "import type { X } from '../api/schema';"],
    ['core/a.ts', "import { mount } from 'svelte';"],
    ['core/a.ts', "const a = await import('../parts/A.svelte');"],
    ['words/a.ts', "import { x } from '../core/x';"],
    ['api/a.ts', "import { x } from '../words/words.svelte';"],
    ['parts/A.svelte', "<script>import Yard from '../rooms/yard/Yard.svelte';</script>"],
    ['rooms/yard/Yard.svelte', "<script>import { x } from '../tree/dial';</script>"],
    ['rooms/yard/Yard.svelte', "<script>import { x } from '../../App.svelte';</script>"],
    ['rooms/yard/Yard.svelte', "<script>import x from 'lodash';</script>"],
    ['parts/a.ts', "export { x } from '../../tests/rules';"],
    ['parts/a.ts', "import 'vitest';"],
    ['rooms/shape/Space.svelte', "<script>import { Scene } from 'three';</script>"],
    ['core/shape/cut.ts', "import { Vector3 } from 'three';"],
    ['scene/scene.ts', "import { mount } from 'svelte';"],
    ['parts/A.svelte', "<script>import type { Look } from '../scene/scene';</script>"],
  ])('by importDirections: %s %s', (path, text) => {
    expect(importDirections(at(path, text))).toHaveLength(1);
  });

  it.each([
    ['<p style="width: 4px">a</p>'],
    ['<svg><path style="fill: red" /></svg>'],
    ['{#if true}<p style="width: 4px"></p>{/if}'],
    ['{@html "<p></p>"}'],
    ['<button onclick="go()">x</button>'],
    ['<script>document.body.innerHTML = "x";</script>'],
    ['<script>eval("1");</script>'],
    ['<script>e.setAttribute("style", "x");</script>'],
  ])('by policy: %s', (text) => {
    expect(policy(at('rooms/yard/Yard.svelte', text))).toHaveLength(1);
  });

  it.each([
    ['<p>Hello there</p>'],
    ['{#if x}Hello{:else}{x}{/if}'],
    ['<p aria-label="Trees">{x}</p>'],
    ['<input placeholder="Search {x}" />'],
    ['<text x="4">mm</text>'],
  ])('by wordsFromCatalogue: %s', (text) => {
    expect(wordsFromCatalogue(at('rooms/yard/Yard.svelte', text))).toHaveLength(1);
  });

  it.each([
    ["import { TreeScene } from '../../scene/scene';"],
    ["import { canDraw,\n  TreeScene } from '../../scene/scene';"],
    ["export { TreeScene } from '../../scene/scene';"],
    ["import '../../scene/scene';"],
  ])('by sceneIsFetched: %s', (text) => {
    expect(sceneIsFetched(at('rooms/shape/a.ts', text))).toHaveLength(1);
  });

  it('by knownFolder and length', () => {
    expect(knownFolder(at('helpers/a.ts', ''))).toHaveLength(1);
    expect(length(at('core/a.ts', '\n'.repeat(401)))).toHaveLength(1);
    const style = `<style>\n${'\n'.repeat(300)}</style>\n`;
    expect(length(at('parts/A.svelte', '\n'.repeat(401) + style))).toHaveLength(1);
    expect(length(at('parts/A.svelte', '\n'.repeat(300) + style))).toHaveLength(0);
    expect(length(at('parts/A.svelte', style + '\n'.repeat(401)))).toHaveLength(1);
  });
});

it('what is sound passes', () => {
  const text = `<script lang="ts">import { t } from '../../words/words.svelte'; import a from '../../core/a'; import './b'; import type { S } from '../../scene/scene'; void import('../../scene/scene');</script>
    <p class="name" style={a} style:width="4px" onclick={a}>{t('x')} · 4 × {a}</p>
    <p style="width: {a}px" aria-label={t('x')} title="{t('x')}: {a}">–</p><style>p { color: red }</style>`;
  const sound = at('rooms/yard/Yard.svelte', text);
  expect(Object.values(RULES).flatMap((rule) => rule(sound))).toEqual([]);
});
