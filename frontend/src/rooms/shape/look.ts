/** The house's colours as they hold on an element now, for a canvas that knows no style sheet. */

import type { Look } from '../../scene/scene';

const NAMES = ['--ground', '--ink', '--wood-1', '--wood-3', '--far', '--hair', '--ink-2'] as const;

/** The colours of the drawing in the theme on screen; the lit side is the lighter of the wood's tones. */
export function lookOf(place: HTMLElement): Look {
  const probe = document.createElement('span');
  probe.hidden = true;
  place.append(probe);
  const [ground, ink, one, three, far, hair] = NAMES.map((name) => {
    probe.style.color = `var(${name})`;
    return channels(getComputedStyle(probe).color);
  }) as [number[], number[], number[], number[], number[], number[], number[]];
  probe.remove();
  const [dark, light] = [one, three].sort((a, b) => bright(a) - bright(b)) as [number[], number[]];
  return { ground, ink, light, dark, rim: ink, far, hair };
}

function channels(colour: string): number[] {
  return (colour.match(/[\d.]+/g) ?? []).slice(0, 3).map((value) => Number(value) / 255);
}

function bright([red = 0, green = 0, blue = 0]: number[]): number {
  return red + green + blue;
}
