"""The report on a turn: a page with each photo and the measured tree drawn over it, and its small photos."""

from __future__ import annotations

from html import escape

from ringwise.desk.turntable_report import ReportView, TurnReport
from ringwise.kit.reading import current_reading
from ringwise.kit.words import _

_STYLE = """
:root { color-scheme: light dark; --ground: #eef0f2; --sheet: #f8f9fa; --ink: #18212b; --ink-2: #4a5764;
  --hair: #c3cad1; --far: #3d5a80; --stop: #8c1d2c; }
@media (prefers-color-scheme: dark) { :root { --ground: #12161b; --sheet: #1a2027; --ink: #e6eaee;
  --ink-2: #a9b4bf; --hair: #37424d; --far: #8fb0d6; --stop: #f08a97; } }
body { margin: 24px; background: var(--ground); color: var(--ink);
  font: 1rem/1.5 Barlow, "Segoe UI", sans-serif; font-variant-numeric: tabular-nums; }
h1 { font-size: 1.75rem; font-weight: 600; margin: 0 0 16px; }
h2 { font-size: 1.25rem; font-weight: 600; margin: 32px 0 8px; }
ul { max-width: 66ch; padding-left: 20px; }
.stop { color: var(--stop); }
.views { display: grid; grid-template-columns: repeat(auto-fill, minmax(20rem, 1fr)); gap: 24px 16px; }
figure { margin: 0; } figcaption { color: var(--ink-2); }
.photo { position: relative; } .photo img, .photo svg { display: block; width: 100%; height: auto; }
.photo svg { position: absolute; inset: 0; }
.photo polyline { fill: none; stroke: #d1271b; stroke-width: 0.9; vector-effect: non-scaling-stroke; }
@media print { body { background: none; } figure { break-inside: avoid; } }
"""


def picture_name(number: int) -> str:
    """The file of a photo beside the page.

    Parameters
    ----------
    number : int
        From 1.

    Returns
    -------
    str
        A name.

    Examples
    --------
    >>> picture_name(3)
    'photo_03.jpg'
    """
    return f"photo_{number:02}.jpg"


def turntable_page(report: TurnReport) -> str:
    """The page, which shows the photos that lie beside it.

    Parameters
    ----------
    report : TurnReport
        Its content.

    Returns
    -------
    str
        HTML.
    """
    parts = [
        f'<!doctype html><html lang="{escape(current_reading().language)}"><head><meta charset="utf-8">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{escape(report.title)}</title><style>{_STYLE}</style></head><body>",
        f"<h1>{escape(report.title)}</h1>",
        _list(report.lines),
    ]
    if report.refused:
        parts.append(f"<h2>{escape(_('Photos that were left out'))}</h2>")
        parts.append(_list(report.refused, "stop"))
    parts.append(f"<h2>{escape(_('The measured tree over each photo'))}</h2>")
    parts.append(f"<p>{escape(_('Red lines are the flanks of the measured branches.'))}</p>")
    parts.append('<div class="views">')
    parts += [_view(number, view) for number, view in enumerate(report.views, start=1)]
    parts.append("</div></body></html>\n")
    return "\n".join(parts)


def _list(lines: tuple[str, ...], kind: str = "") -> str:
    mark = f' class="{kind}"' if kind else ""
    return f"<ul{mark}>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>"


def _view(number: int, view: ReportView) -> str:
    drawn = "".join(
        '<polyline points="' + " ".join(f"{x:g},{y:g}" for x, y in line) + '"/>' for line in view.lines
    )
    alt = _("photo {name} with the measured tree over it").format(name=view.name)
    return (
        f'<figure><div class="photo"><img src="{picture_name(number)}" width="{view.width_px}" '
        f'height="{view.height_px}" alt="{escape(alt)}" loading="lazy">'
        f'<svg viewBox="-0.5 -0.5 {view.width_px} {view.height_px}" aria-hidden="true">{drawn}</svg></div>'
        f"<figcaption>{escape('. '.join(filter(None, (view.name, view.words))))}</figcaption></figure>"
    )
