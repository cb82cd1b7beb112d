"""A turning as a PDF: two minutes' reading first, then a page a course, then what to be wary of."""

from __future__ import annotations

import json
from importlib import resources

from ringwise.faces.reports.futures_data import futures_data
from ringwise.faces.reports.worksheet_pdf import OWN_LETTERS, OWN_SIGNS
from ringwise.futures.view import FuturesView

TEMPLATE = "futures.typ"


def futures_pdf(view: FuturesView) -> bytes:
    """The turning typeset on A4, black on white; the same view gives the same bytes.

    Parameters
    ----------
    view : FuturesView
        What to show. Its texts reach the template as data only, so that none can become markup.

    Returns
    -------
    bytes
        The PDF.

    Raises
    ------
    MissingFieldError
        If a course has no cell for one of the years.

    Examples
    --------
    >>> futures_pdf.__name__
    'futures_pdf'
    """
    import typst  # takes a tenth of a second and 80 MB of library: only when a PDF is asked for

    text = json.dumps(futures_data(view), ensure_ascii=False)
    template = resources.files("ringwise.faces.reports") / "data" / TEMPLATE
    made = typst.compile(
        template.read_bytes(),
        format="pdf",
        ignore_system_fonts=all(ord(sign) in OWN_LETTERS or ord(sign) in OWN_SIGNS for sign in text),
        sys_inputs={"turning": text},
        timestamp=0,
    )
    if not isinstance(made, bytes):
        raise AssertionError("a PDF is one file")
    return made
