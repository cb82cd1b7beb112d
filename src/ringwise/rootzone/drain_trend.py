"""Drain time against the pot's own past: a sign of fines, roots or closing holes, never a date."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.errors import out_of_range
from ringwise.kit.ranged import SDS_OF_80
from ringwise.kit.show import number
from ringwise.kit.words import _
from ringwise.rootzone.calibrate import calibrate_row


@dataclass(frozen=True)
class DrainTrend:
    """Two drain tests of one filling: seconds then and now, and their ratio by equal amounts of water."""

    first_s: float
    now_s: float
    ratio: float
    same_amount: bool

    @property
    def span(self) -> tuple[float, float]:
        """The 80 % band of the ratio: two pourings of one pot differ as well."""
        reach = math.exp(SDS_OF_80 * calibrate_row("drain", "ratio_sd_log").number)
        return self.ratio / reach, self.ratio * reach

    @property
    def slower(self) -> bool:
        """Whether it takes longer than two pourings differ."""
        return self.span[0] > 1.0

    @property
    def words(self) -> str:
        """What the trend says; never when to repot."""
        low, high = self.span
        told = _("{first} s then, {now} s now").format(
            first=number(self.first_s, 3), now=number(self.now_s, 3)
        )
        if low > 1.0:
            meaning = _(
                "{low} to {high} times as long: a sign of fines or of roots that fill the voids, or of holes "
                "that are closing"
            ).format(low=number(low), high=number(high))
        elif high < 1.0:
            meaning = _("quicker than it was: look for a channel along the wall, or soil that has dried out")
        else:
            meaning = _("no more than two pourings of one pot differ")
        unsure = "" if self.same_amount else " " + _("(how much was poured is not written down for both)")
        return f"{told}: {meaning}{unsure}"


def alike(first_cm3: float | None, now_cm3: float | None) -> bool:
    """Whether two drain tests poured about as much water, as far as is known.

    Parameters
    ----------
    first_cm3, now_cm3 : float or None
        Water poured; None where nobody wrote it down.

    Returns
    -------
    bool
        True where one is not known.

    Source
    ------
    own: twice the water takes more than twice the time where it stands on the soil, so unlike amounts are not
    compared.

    Examples
    --------
    >>> alike(500.0, 550.0), alike(500.0, 1680.0), alike(None, 500.0)
    (True, False, True)
    """
    if first_cm3 is None or now_cm3 is None:
        return True
    most = calibrate_row("drain", "alike_ratio").number
    return 1.0 / most <= now_cm3 / first_cm3 <= most


def drain_trend(
    first_s: float, now_s: float, *, first_cm3: float | None = None, now_cm3: float | None = None
) -> DrainTrend:
    """Two drain tests of a pot's own past; other pots are never compared.

    Parameters
    ----------
    first_s, now_s : float
        Seconds until the water had soaked in.
    first_cm3, now_cm3 : float, optional
        Water poured; where both are known the times are taken for equal amounts.

    Returns
    -------
    DrainTrend
        With its ratio.

    Raises
    ------
    RangeError
        If a time is not above zero.

    Source
    ------
    practice: one centimetre of water on a pot that was wetted before, compared with its own past.

    Examples
    --------
    >>> drain_trend(60.0, 210.0).words
    '60 s then, 210 s now: 1.6 to 7.6 times as long: a sign of fines or of roots that fill the voids, or of \
holes that are closing (how much was poured is not written down for both)'
    """
    for seconds in (first_s, now_s):
        if not seconds > 0:
            raise out_of_range(_("drain time"), f"{seconds:g} s", _("more than 0 s"))
    ratio, same = now_s / first_s, first_cm3 is not None and now_cm3 is not None
    if first_cm3 is not None and now_cm3 is not None:
        ratio *= first_cm3 / now_cm3
    return DrainTrend(first_s, now_s, ratio, same)
