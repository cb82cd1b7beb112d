"""One self-contained HTML page about one turning: no request leaves it, only its own script runs."""

from __future__ import annotations

import base64
import hashlib
from importlib import resources

from ringwise.faces.reports import futures_sections as sections
from ringwise.faces.reports.futures_courses import courses_section, sheet_of
from ringwise.faces.reports.futures_gallery import gallery_section
from ringwise.faces.reports.futures_markup import Html, join, tag
from ringwise.faces.reports.futures_short import short_section
from ringwise.faces.reports.futures_weighed import aims_section, before_section, weighed_section
from ringwise.futures.view import FuturesView
from ringwise.kit.reading import current_reading
from ringwise.kit.words import _


def futures_page(view: FuturesView) -> str:
    """The page as text, ready to be written to a file.

    Parameters
    ----------
    view : FuturesView
        What to show; every text in it is escaped.

    Returns
    -------
    str
        A whole HTML document whose security policy allows its own style and script by hash, nothing else.

    Raises
    ------
    MissingFieldError
        If a course has no cell for one of the years.

    Examples
    --------
    >>> futures_page.__name__
    'futures_page'
    """
    style, script, sheet = _own("futures.css"), _own("futures.js"), sheet_of(view)
    allowed = f"style-src {_hash(style)}; script-src {_hash(script)}"
    policy = f"default-src 'none'; {allowed}; base-uri 'none'; form-action 'none'"
    head = tag(
        "head",
        tag("meta", charset="utf-8"),
        tag("meta", http_equiv="Content-Security-Policy", content=policy),
        tag("meta", name="viewport", content="width=device-width, initial-scale=1"),
        tag("meta", name="color-scheme", content="light dark"),
        tag("meta", name="referrer", content="no-referrer"),
        tag("title", f"{view.tree}: {view.question}"),
        tag("style", Html(style)),
    )
    main = tag(
        "main",
        sections.title_block(sheet),
        weighed_section(view),
        short_section(sheet),
        before_section(view),
        courses_section(sheet),
        gallery_section(sheet),
        aims_section(view),
        sections.drivers_section(view),
        sections.pairs_section(view),
        sections.losses_section(view),
        sections.hours_section(view),
        sections.cautions_section(sheet),
        sections.origins_section(view),
    )
    body = tag(
        "body",
        tag("a", _("To the courses"), href="#courses", class_="skip"),
        main,
        tag("script", Html(script)),
    )
    return join(
        Html("<!doctype html>\n"), tag("html", head, body, lang=current_reading().language), Html("\n")
    )


def _own(name: str) -> str:
    """A style or script of this package; it must not close its own element."""
    text = resources.files("ringwise.faces.reports").joinpath("data", name).read_text(encoding="utf-8")
    if "</" in text:
        raise ValueError(f"{name} holds an end tag")
    return text


def _hash(text: str) -> str:
    digest = base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode("ascii")
    return f"'sha256-{digest}'"
