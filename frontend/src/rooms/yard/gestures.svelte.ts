/** Fingers and mouse on the plan: carry a tree or a bench, move the sheet, pinch. The keyboard has other ways. */

import { dropTarget, type Layout, type Target } from '../../core/plan/layout';

export interface Drag {
  kind: 'tree' | 'bench';
  name: string;
  /** Where the foot of the tree, or the finger on a bench, is on the drawing, in px. */
  x: number;
  y: number;
  /** How far it was carried, in px. */
  dx: number;
  dy: number;
  target: Target | undefined;
}

export interface Ground {
  layout: () => Layout;
  /** A point of the window on the drawing. */
  onDrawing: (clientX: number, clientY: number) => [number, number];
  /** Where the foot of a tree is on the drawing. */
  footOf: (tree: string) => [number, number] | undefined;
  dropped: (drag: Drag) => void;
  zoomed: (factor: number, clientX: number, clientY: number) => void;
  panned: (dx: number, dy: number) => void;
}

const LONG_PRESS_MS = 250;
const STILL_PX = 8; // a finger trembles
const EDGE_PX = 72; // near the edge of the window the page moves along
const EDGE_STEP_PX = 14;

interface Press {
  id: number;
  kind: 'tree' | 'bench' | 'ground';
  name: string;
  startX: number;
  startY: number;
  lastX: number;
  lastY: number;
  isTouch: boolean;
  timer: ReturnType<typeof setTimeout> | undefined;
}

export class Gestures {
  drag = $state.raw<Drag>();
  #press: Press | undefined;
  #grab: [number, number] = [0, 0];
  #from: [number, number] = [0, 0];
  #wasDragged = false;
  #spread = 0;
  #edge = 0;

  constructor(private readonly ground: Ground) {}

  /** Whether the click that comes now only ends a drag; asked once. */
  wasDrag(): boolean {
    const was = this.#wasDragged;
    this.#wasDragged = false;
    return was;
  }

  readonly down = (event: PointerEvent): void => {
    this.#wasDragged = false;
    if (this.#press || !event.isPrimary) return this.cancel(); // a second finger means a pinch
    if (event.button !== 0) return;
    const on = (event.target as Element).closest<SVGElement>('[data-tree], [data-bench]');
    const { tree, bench } = on?.dataset ?? {};
    const isTouch = event.pointerType === 'touch';
    this.#press = {
      id: event.pointerId,
      kind: tree ? 'tree' : bench ? 'bench' : 'ground',
      name: tree ?? bench ?? '',
      startX: event.clientX,
      startY: event.clientY,
      lastX: event.clientX,
      lastY: event.clientY,
      isTouch,
      timer: isTouch && on ? setTimeout(() => this.#begin(), LONG_PRESS_MS) : undefined,
    };
    addEventListener('pointermove', this.#moved);
    addEventListener('pointerup', this.#up);
    addEventListener('pointercancel', this.cancel);
    addEventListener('keydown', this.#key, true);
  };

  readonly cancel = (): void => {
    clearTimeout(this.#press?.timer);
    cancelAnimationFrame(this.#edge);
    this.#edge = 0;
    this.#press = undefined;
    this.drag = undefined;
    removeEventListener('pointermove', this.#moved);
    removeEventListener('pointerup', this.#up);
    removeEventListener('pointercancel', this.cancel);
    removeEventListener('keydown', this.#key, true);
  };

  /** Touches are followed apart from pointers: only here can the page be kept from scrolling. */
  readonly attach = (drawing: Element): (() => void) => {
    const start = (event: Event): void => {
      const { touches } = event as TouchEvent;
      this.#spread = touches.length === 2 ? spreadOf(touches) : 0;
    };
    const move = (event: Event): void => {
      const { touches } = event as TouchEvent;
      if (!this.drag && touches.length !== 2) return;
      if (event.cancelable) event.preventDefault();
      if (touches.length !== 2 || !this.#spread) return;
      const spread = spreadOf(touches);
      const [a, b] = [touches[0]!, touches[1]!];
      this.ground.zoomed(spread / this.#spread, (a.clientX + b.clientX) / 2, (a.clientY + b.clientY) / 2);
      this.#spread = spread;
    };
    const wheel = (event: Event): void => {
      const { ctrlKey, deltaY, clientX, clientY } = event as WheelEvent;
      if (!ctrlKey) return; // a plain wheel scrolls the page
      event.preventDefault();
      this.ground.zoomed(Math.exp(-Math.max(-60, Math.min(60, deltaY)) / 150), clientX, clientY);
    };
    const menu = (event: Event): void => {
      if (this.#press?.isTouch) event.preventDefault(); // a long press carries, it opens no menu
    };
    drawing.addEventListener('touchstart', start, { passive: true });
    drawing.addEventListener('touchmove', move, { passive: false });
    drawing.addEventListener('wheel', wheel, { passive: false });
    drawing.addEventListener('contextmenu', menu);
    return () => {
      drawing.removeEventListener('touchstart', start);
      drawing.removeEventListener('touchmove', move);
      drawing.removeEventListener('wheel', wheel);
      drawing.removeEventListener('contextmenu', menu);
      this.cancel();
    };
  };

  #begin(): void {
    const press = this.#press;
    if (!press || press.kind === 'ground') return;
    const start = this.ground.onDrawing(press.startX, press.startY);
    const foot = press.kind === 'tree' ? this.ground.footOf(press.name) : start;
    if (!foot) return this.cancel();
    this.#from = start;
    this.#grab = [start[0] - foot[0], start[1] - foot[1]];
    this.#wasDragged = true;
    this.#carried();
  }

  readonly #moved = (event: PointerEvent): void => {
    const press = this.#press;
    if (!press || event.pointerId !== press.id) return;
    const [dx, dy] = [event.clientX - press.lastX, event.clientY - press.lastY];
    press.lastX = event.clientX;
    press.lastY = event.clientY;
    if (this.drag) return this.#carried();
    const far = Math.hypot(event.clientX - press.startX, event.clientY - press.startY) > STILL_PX;
    if (press.isTouch) {
      if (far) this.cancel(); // that is a scroll
    } else if (press.kind === 'ground') {
      if (far) this.#wasDragged = true;
      this.ground.panned(-dx, -dy);
    } else if (far) this.#begin();
  };

  #carried(): void {
    const press = this.#press;
    if (!press || press.kind === 'ground') return;
    const [px, py] = this.ground.onDrawing(press.lastX, press.lastY);
    const [x, y] = [px - this.#grab[0], py - this.#grab[1]];
    const target = dropTarget(this.ground.layout(), x, y);
    const [dx, dy] = [px - this.#from[0], py - this.#from[1]];
    this.drag = { kind: press.kind, name: press.name, x, y, dx, dy, target };
    const toEdge = Math.min(press.lastY, innerHeight - press.lastY);
    if (toEdge < EDGE_PX && !this.#edge) this.#edge = requestAnimationFrame(this.#along);
  }

  readonly #along = (): void => {
    this.#edge = 0;
    const press = this.#press;
    if (!press || !this.drag) return;
    const way = press.lastY < EDGE_PX ? -1 : press.lastY > innerHeight - EDGE_PX ? 1 : 0;
    if (!way) return;
    scrollBy(0, way * EDGE_STEP_PX);
    this.#carried();
  };

  readonly #up = (event: PointerEvent): void => {
    if (event.pointerId !== this.#press?.id) return;
    const drag = this.drag;
    const hasMoved = drag && Math.hypot(drag.dx, drag.dy) > STILL_PX;
    this.cancel();
    if (drag && hasMoved) this.ground.dropped(drag);
  };

  readonly #key = (event: KeyboardEvent): void => {
    if (event.key !== 'Escape' || !this.drag) return;
    event.preventDefault();
    event.stopPropagation();
    this.cancel();
  };
}

function spreadOf(touches: TouchList): number {
  return Math.hypot(touches[0]!.clientX - touches[1]!.clientX, touches[0]!.clientY - touches[1]!.clientY);
}
