"""What makes a page fit for hands and eyes: rules of accessibility, sizes of targets and of text."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from playwright.sync_api import Page

AXE = Path(__file__).resolve().parents[3] / "frontend" / "node_modules" / "axe-core" / "axe.min.js"
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]  # WCAG 2.2, conformance levels A and AA

RUN_AXE = """async rules => {
  const runOnly = { type: 'tag', values: rules };
  const found = await axe.run(document, { runOnly, resultTypes: ['violations'] });
  return found.violations.flatMap(rule => rule.nodes.map(node =>
    `${rule.id}: ${node.html.slice(0, 160)} ${(node.any[0] ?? node.all[0] ?? node.none[0])?.message ?? ''}`));
}"""

# A control's area is its box, or that of its label, or the larger one that lies behind it (::after).
SMALL_TARGETS = """([least, leastInline]) => {
  const behind = e => {
    const style = getComputedStyle(e, '::after');
    if (style.content === 'none' || style.position !== 'absolute') return [0, 0];
    return [parseFloat(style.width) || 0, parseFloat(style.height) || 0];
  };
  const found = [];
  const top = document.querySelector('dialog:modal') ?? document.body;
  const controls = 'a[href], button, input, select, textarea, summary, [role="button"]';
  for (const e of top.querySelectorAll(controls)) {
    if (e.disabled || e.tabIndex < 0 && e.matches('input')) continue;
    if (!e.checkVisibility({ opacityProperty: false, visibilityProperty: true })) continue;
    const label = e.matches('[type="radio"], [type="checkbox"]') ? e.closest('label') ?? e : e;
    const box = label.getBoundingClientRect();
    if (box.width === 0) continue;
    const [wide, high] = behind(label);
    const inline = e.matches('[data-why]') || e.matches('p a, li p a');
    const limit = inline ? leastInline : least;
    if (Math.max(box.width, wide) >= limit - 0.5 && Math.max(box.height, high) >= limit - 0.5) continue;
    found.push(`${e.tagName} ${(e.ariaLabel ?? e.textContent ?? '').trim().slice(0, 40)}: `
      + `${Math.round(Math.max(box.width, wide))} x ${Math.round(Math.max(box.height, high))}`);
  }
  return found;
}"""

# Labels in a drawing are an svg's text, and what stands in a figure outside its caption.
SMALL_TEXT = """([least, leastDrawn]) => {
  const found = new Set();
  const top = document.querySelector('dialog:modal') ?? document.body;
  for (const e of top.querySelectorAll('*')) {
    if (![...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim())) continue;
    if (e.closest('title, desc, script, style, option')) continue;
    if (!e.checkVisibility({ visibilityProperty: true })) continue;
    const box = e.getBoundingClientRect();
    if (box.width <= 1 || box.height <= 1) continue;
    let size = parseFloat(getComputedStyle(e).fontSize);
    const drawn = e instanceof SVGElement;
    if (drawn) size *= Math.abs(e.ownerSVGElement.getScreenCTM().a);
    const limit = drawn || (e.closest('figure') && !e.closest('figcaption')) ? leastDrawn : least;
    const said = `${size.toFixed(1)} px: ${e.tagName} ${e.textContent.trim().slice(0, 40)}`;
    if (size < limit - 0.05) found.add(said);
  }
  return [...found];
}"""

# Boxes of the texts of a drawing; those set along a curve are left out, their box says little.
OVERLAPS = """svg => {
  const texts = [...svg.querySelectorAll('text')]
    .filter(e => !e.querySelector('textPath') && e.textContent.trim());
  const boxes = texts.map(e => [e.textContent.trim(), e.getBoundingClientRect()]);
  const found = [];
  boxes.forEach(([name, a], i) => boxes.slice(i + 1).forEach(([other, b]) => {
    const wide = Math.min(a.right, b.right) - Math.max(a.left, b.left);
    const high = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
    const least = Math.min(a.height, b.height);
    if (wide <= 1 || high <= least * 0.3) return;
    found.push(`${name} on ${other} (${wide.toFixed(0)} x ${high.toFixed(0)})`);
  }));
  return [boxes.length, found];
}"""


def axe_violations(page: Page) -> list[str]:
    """What axe-core finds; the page's context must be made with `bypass_csp`."""
    assert AXE.is_file(), "axe-core is missing: python build_app.py --tools"
    if not page.evaluate("() => 'axe' in window"):
        page.add_script_tag(path=AXE)
    found: list[str] = page.evaluate(RUN_AXE, RULES)
    return found


def small_targets(page: Page, least_px: float, least_inline_px: float = 24) -> list[str]:
    """Controls whose area is smaller than it may be."""
    found: list[str] = page.evaluate(SMALL_TARGETS, [least_px, least_inline_px])
    return found


def small_text(page: Page, least_px: float, least_drawn_px: float) -> list[str]:
    """Texts that are smaller on screen than they may be."""
    found: list[str] = page.evaluate(SMALL_TEXT, [least_px, least_drawn_px])
    return found


def overlaps(drawing: Any) -> tuple[int, list[str]]:
    """How many labels a drawing has, and which of them lie on each other."""
    count, found = drawing.evaluate(OVERLAPS)
    return count, found
