"""The ladder of waits between two works."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import ParameterError
from ringwise.operations.gaps import one_step_longer, parse_gap


@pytest.mark.parametrize(
    ("code", "words"),
    [
        ("0", "the same session is fine"),
        ("0+", "the same session helps"),
        ("-", "the pair does not arise"),
        ("H", "wait until leaves are hard"),
        ("4w", "wait 4 weeks"),
        ("6w&H", "wait 6 weeks and until leaves are hard"),
        ("8w&roots", "wait 8 weeks and until branched roots are seen"),
        ("N", "wait for the next growing season"),
        ("2N", "wait 2 growing seasons"),
        ("until_11", "wait until new leaves unfold"),
    ],
)
def test_words(code: str, words: str) -> None:
    assert parse_gap(code).words == words


@pytest.mark.parametrize("code", ["", "soon", "N2", "4", "w"])
def test_a_code_that_does_not_read_is_refused(code: str) -> None:
    with pytest.raises(ParameterError):
        parse_gap(code)


def test_each_step_of_the_ladder_is_longer() -> None:
    ladder = [parse_gap("0")]
    for _step in range(4):
        ladder.append(one_step_longer(ladder[-1], 4.0))
    assert [gap.rank for gap in ladder] == sorted({gap.rank for gap in ladder})
    assert [gap.seasons for gap in ladder] == [0, 0, 0, 1, 2]
    assert ladder[2].sign == "H1"


@pytest.mark.parametrize("code", ["-", "0+"])
def test_a_pair_that_does_not_arise_or_helps_stays(code: str) -> None:
    assert one_step_longer(parse_gap(code), 4.0) == parse_gap(code)
