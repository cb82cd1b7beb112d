"""How long one work waits for another: the ladder of gaps, read from their short codes."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from ringwise.kit.errors import ParameterError
from ringwise.kit.words import _, counted

_WEEKS = re.compile(r"^(?:(\d+)-)?(\d+)w(?:&(H|roots))?$")
_SEASONS = re.compile(r"^(\d*)N$")


@dataclass(frozen=True)
class Gap:
    """The least wait from the earlier work to the later.

    `weeks` is the cautious end of a span of weeks; `seasons` counts growing seasons; `sign` is a state
    that must be seen as well (H1, 11, roots), empty for none. `meaningful` is false where the pair makes
    no sense; `helps` where the later work gains from being done in the same session.
    """

    code: str
    weeks: float = 0.0
    seasons: int = 0
    sign: str = ""
    meaningful: bool = True
    helps: bool = False

    @property
    def free(self) -> bool:
        """Whether both can be done in one session."""
        return not (self.weeks or self.seasons or self.sign)

    @property
    def rank(self) -> tuple[int, int, float]:
        """For sorting: the longer wait is larger."""
        return (self.seasons, 1 if self.sign else 0, self.weeks)

    @property
    def words(self) -> str:
        """The wait in plain words."""
        if not self.meaningful:
            return _("the pair does not arise")
        if self.helps:
            return _("the same session helps")
        if self.seasons == 1:
            return _("wait for the next growing season")
        if self.seasons:
            return counted("wait {n} growing season", "wait {n} growing seasons", self.seasons)
        sign = {
            "H1": _("leaves are hard"),
            "11": _("new leaves unfold"),
            "roots": _("branched roots are seen"),
        }.get(self.sign, "")
        weeks = counted("{n} week", "{n} weeks", int(self.weeks)) if self.weeks else ""
        if weeks and sign:
            return _("wait {weeks} and until {sign}").format(weeks=weeks, sign=sign)
        if weeks:
            return _("wait {weeks}").format(weeks=weeks)
        if sign:
            return _("wait until {sign}").format(sign=sign)
        return _("the same session is fine")


def parse_gap(code: str) -> Gap:
    """The gap behind a code of the conflict table.

    Parameters
    ----------
    code : str
        "0", "0+", "-", "H", "N", "2N", "4w", "0-4w", "4w&H", "8w&roots" or "until_11".

    Returns
    -------
    Gap
        With the cautious end of a span of weeks.

    Raises
    ------
    ParameterError
        If the code is none of these.

    Source
    ------
    practice: the short codes of the conflict table.

    Examples
    --------
    >>> parse_gap("4w&H").words
    'wait 4 weeks and until leaves are hard'
    """
    fixed = {
        "0": Gap("0"),
        "0+": Gap("0+", helps=True),
        "-": Gap("-", meaningful=False),
        "H": Gap("H", sign="H1"),
        "until_11": Gap("until_11", sign="11"),
    }
    if code in fixed:
        return fixed[code]
    seasons = _SEASONS.match(code)
    if seasons:
        return Gap(code, seasons=int(seasons.group(1) or 1))
    weeks = _WEEKS.match(code)
    if weeks:
        sign = {"H": "H1", "roots": "roots", None: ""}[weeks.group(3)]
        return Gap(code, weeks=float(weeks.group(2)), sign=sign)
    raise ParameterError(f'gap "{code}" of the conflict table does not read')


def one_step_longer(gap: Gap, first_step_weeks: float) -> Gap:
    """The gap one step up the ladder: nothing, weeks, hard leaves, a season, two seasons.

    Parameters
    ----------
    gap : Gap
        As for a strong tree.
    first_step_weeks : float
        The weeks that the first step stands for.

    Returns
    -------
    Gap
        Its code marked with "+1"; a pair that does not arise stays as it is.

    Source
    ------
    practice: one step more at vigour 3.

    Examples
    --------
    >>> one_step_longer(parse_gap("H"), 4.0).seasons
    1
    """
    code = f"{gap.code}+1"
    if not gap.meaningful or gap.helps:
        return gap
    if gap.seasons:
        return replace(gap, code=code, seasons=gap.seasons + 1)
    if gap.sign:
        return Gap(code, seasons=1)
    if gap.weeks:
        return Gap(code, weeks=gap.weeks, sign="H1")
    return Gap(code, weeks=first_step_weeks)
