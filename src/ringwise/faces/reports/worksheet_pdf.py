"""A worksheet as a PDF. Data reach the template as JSON only, so that a text can never become markup."""

from __future__ import annotations

import calendar
import json
from importlib import resources

from ringwise.faces.reports.worksheet_data import worksheet_data
from ringwise.season.worksheet_content import Worksheet

TEMPLATE = "worksheet.typ"
# The typesetter's own fonts hold Latin, Greek, Cyrillic and Hebrew, and these signs; looking through the
# machine's fonts takes longer than the page, so it is done only for a text that needs them.
OWN_LETTERS = range(0x600)
OWN_SIGNS = range(0x2000, 0x2200)


def worksheet_pdf(sheet: Worksheet) -> bytes:
    """The sheet typeset on A4; the same sheet gives the same bytes."""
    import typst  # takes a tenth of a second and 80 MB of library: only when a PDF is asked for

    text = json.dumps(worksheet_data(sheet), ensure_ascii=False)
    template = resources.files("ringwise.faces.reports") / "data" / TEMPLATE
    made = typst.compile(
        template.read_bytes(),
        format="pdf",
        ignore_system_fonts=all(ord(sign) in OWN_LETTERS or ord(sign) in OWN_SIGNS for sign in text),
        sys_inputs={"sheet": text},
        timestamp=calendar.timegm(sheet.made_on.timetuple()),
    )
    if not isinstance(made, bytes):
        raise AssertionError("a PDF is one file")
    return made
