"""A tape from CSV: what is read, in which units, and errors that name line, column and range."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, RangeError, UnitError
from ringwise.structure.tape import TapeBranch
from ringwise.structure.tape_file import read_tape_csv

WHOLE = """what,height,girth,clock,diameter,length,tips,angle
height,52cm
girth,12cm,214mm
girth,20mm,28.9 cm
branch,16.5cm,,3.3,24mm,25cm,46,80
branch,8 in,,,,,,
apex,,,,,,26,
lean,,,9,,3cm,,
root,,,12
root,,,4
"""


def test_a_whole_tape_is_read_with_its_units() -> None:
    tape = read_tape_csv(WHOLE, file="t.csv")
    assert tape.height_mm == 520.0
    assert [(g.at_mm, g.girth_mm) for g in tape.girths] == [(20.0, 289.0), (120.0, 214.0)]
    assert tape.branches[0] == TapeBranch(165.0, 3.3, 24.0, 250.0, 46, 80.0)
    assert tape.branches[1] == TapeBranch(pytest.approx(203.2))  # type: ignore[arg-type]
    assert (tape.apex_tips, tape.lean_mm, tape.lean_clock) == (26, 30.0, 9.0)
    assert tape.root_sectors is not None
    assert [hour + 1 for hour, seen in enumerate(tape.root_sectors) if seen] == [4, 12]


@pytest.mark.parametrize(
    "text",
    [
        "what;height_cm;girth_cm\nheight;52,5;\ngirth;2;28,9\n",
        "\ufeffgirth_mm\twhat\theight_mm\n\theight\t525\n289\tgirth\t20\n",
        'what,height_in,girth\nheight,20.6692913386,\ngirth,0.78740157480,"11 3/8 in"\n',
    ],
)
def test_parted_by_semicolon_or_tab_with_units_in_the_header(text: str) -> None:
    tape = read_tape_csv(text, file="t.csv")
    assert tape.height_mm == pytest.approx(525.0, abs=0.01)
    assert tape.girths[0].at_mm == pytest.approx(20.0, abs=0.01)
    assert tape.girths[0].girth_mm == pytest.approx(289.0, abs=0.1)


BAD = [
    ("what,height,girth\nheight,52cm,\ngirth,60cm,29cm\n", RangeError, ["line 3, column height", "to 509.6"]),
    ("what,height,girth\nheight,52cm,\ngirth,3cm,29\n", FileFormatError, ["line 3, column girth", "14cm"]),
    ("what,height,girth\nheight,52cm,\ngirth,3cm,x cm\n", UnitError, ["line 3, column girth"]),
    ("what,height,girth\nheight,52cm,\ngirth,3cm,\n", MissingFieldError, ["line 3", "girth is empty"]),
    ("what,height,girth\nheight,52cm,\n\nbranck,3cm,\n", FileFormatError, ["line 4", "branch"]),
    ("what,height,girt\nheight,52cm,\n", FileFormatError, ["line 1", "girth"]),
    ("what,height,girth\ngirth,3cm,29cm\nbranch,9cm,\n", MissingFieldError, ["one row height"]),
    ("what,height,clock\nheight,52cm,\nbranch,9cm,14\n", RangeError, ["line 3, column clock", "0 to 12"]),
    ("what,height\nheight,52cm\nbranch,9cm,3,4\n", FileFormatError, ["line 3", "4 fields"]),
    ("what,height,girth\nheight,52cm,\ngirth,3cm,29cm\ngirth,3cm,30cm\n", RangeError, ["line 4, column h"]),
    ("what,height\nheight,52cm\nbranch,9cm\n", MissingFieldError, ["at least one girth"]),
    ("", FileFormatError, ["a header"]),
]


@pytest.mark.parametrize(("text", "kind", "told"), BAD, ids=range(len(BAD)))
def test_an_error_names_line_and_column_and_what_is_accepted(
    text: str, kind: type[InputError], told: list[str]
) -> None:
    with pytest.raises(kind) as wrong:
        read_tape_csv(text, file="t.csv")
    for each in ["t.csv", *told]:
        assert each in str(wrong.value)
