"""What calls for copper on the plan: work that is wanted and can be done now, and nothing else."""

from __future__ import annotations

from datetime import date

import pytest

from ringwise.desk.almanac import NO_DAY, NextTold
from ringwise.desk.almanac_views import _state

TODAY = date(2027, 3, 7)


@pytest.mark.parametrize(
    ("work", "state"),
    [
        (NextTold("repot", "open", True, TODAY.toordinal() - 3, ""), "open"),
        (NextTold("repot", "open", False, TODAY.toordinal() - 3, ""), "quiet"),
        (NextTold("repot", "ahead", True, TODAY.toordinal() + 10, ""), "soon"),
        (NextTold("repot", "ahead", False, TODAY.toordinal() + 10, ""), "quiet"),
        (NextTold("repot", "ahead", True, TODAY.toordinal() + 60, ""), "quiet"),
        (NextTold("repot", "ahead", True, NO_DAY, ""), "quiet"),
        (NextTold("repot", "closed", True, TODAY.toordinal() - 60, ""), "quiet"),
        (NextTold("repot", "blocked", False, TODAY.toordinal(), ""), "blocked"),
    ],
)
def test_only_wanted_work_marks_a_tree(work: NextTold, state: str) -> None:
    assert _state(work, TODAY) == state
