"""What waiting for a sign is worth: act now, or look at a named check and then keep or act late."""

from __future__ import annotations

from dataclasses import dataclass, fields

from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.words import _


@dataclass(frozen=True)
class WaitCase:
    """A turning with one check: the chance that what is there takes, its sign, and what each end is worth.

    Worths run from 0 (the worst end that is weighed) to 1 (the best). `keep_ok` and `keep_fail`: what is
    there is kept and has taken or not; `now` is the other step taken now, `late` taken after the check.
    """

    take_prob: float
    sensitivity_prob: float
    specificity_prob: float
    keep_ok_frac: float
    keep_fail_frac: float
    now_frac: float
    late_frac: float

    def __post_init__(self) -> None:
        for field in fields(self):
            value = getattr(self, field.name)
            if not 0 <= value <= 1:
                raise out_of_range(_case_words()[field.name], f"{value:g}", _("0 to 1"))
        if self.keep_fail_frac > self.keep_ok_frac:
            raise InputError(
                _("worth kept and failed is {fail:g}, above worth kept and taken, {ok:g}; swap them.").format(
                    fail=self.keep_fail_frac, ok=self.keep_ok_frac
                )
            )


def _case_words() -> dict[str, str]:
    return {
        "take_prob": _("chance that it takes"),
        "sensitivity_prob": _("sensitivity of the sign"),
        "specificity_prob": _("specificity of the sign"),
        "keep_ok_frac": _("worth kept and taken"),
        "keep_fail_frac": _("worth kept and failed"),
        "now_frac": _("worth of acting now"),
        "late_frac": _("worth of acting late"),
    }


@dataclass(frozen=True)
class WaitWorth:
    """What deciding now and deciding at the check are worth.

    `act_now_frac` is the better of acting now and keeping anyway; `wait_frac` looks at the sign first;
    `evsi_frac` is the second less the first, below 0 where waiting costs more than the sign tells;
    `evpi_frac` is the same with a sign that never errs. A posterior is None where its sign cannot be seen.
    `break_even_late_frac` is the least worth of acting late at which waiting is no worse than deciding now;
    None where waiting is no worse whatever acting late is worth.
    """

    act_now_frac: float
    keep_anyway_frac: float
    wait_frac: float
    evsi_frac: float
    evpi_frac: float
    good_sign_prob: float
    posterior_good_sign_prob: float | None
    posterior_bad_sign_prob: float | None
    break_even_late_frac: float | None

    @property
    def waiting_is_right(self) -> bool:
        """Whether waiting is worth at least what deciding now is."""
        return self.evsi_frac >= 0


def worth_of_waiting(case: WaitCase) -> WaitWorth:
    """Decide now, or wait for a sign that may err and then keep or act late.

    Parameters
    ----------
    case : WaitCase
        Chances and worths.

    Returns
    -------
    WaitWorth
        Expected worths, what the sign and a perfect sign add, and how little acting late may be worth.

    Source
    ------
    own: expected value of sample information by Bayes' rule; Howard 1966 from memory. A perfect sign comes at
    the check as well, so that a step taken after it is worth `late`.

    Examples
    --------
    >>> worth = worth_of_waiting(WaitCase(0.5, 0.85, 0.8, 1.0, 0.35, 0.7, 0.66))
    >>> [round(each, 4) for each in (worth.act_now_frac, worth.wait_frac, worth.evsi_frac, worth.evpi_frac)]
    [0.7, 0.7735, 0.0735, 0.13]
    >>> round(worth.break_even_late_frac, 4)
    0.5053
    """
    p = case.take_prob
    anyway = p * case.keep_ok_frac + (1.0 - p) * case.keep_fail_frac
    now = max(case.now_frac, anyway)
    good = p * case.sensitivity_prob + (1.0 - p) * (1.0 - case.specificity_prob)
    after_good = p * case.sensitivity_prob / good if good > 0 else None
    after_bad = p * (1.0 - case.sensitivity_prob) / (1.0 - good) if good < 1 else None
    signs = [(good, after_good), (1.0 - good, after_bad)]
    kept = [(share, _kept(case, take)) for share, take in signs if take is not None]
    wait = sum(share * max(worth, case.late_frac) for share, worth in kept)
    perfect = p * max(case.keep_ok_frac, case.late_frac) + (1.0 - p) * max(
        case.keep_fail_frac, case.late_frac
    )
    return WaitWorth(
        act_now_frac=now,
        keep_anyway_frac=anyway,
        wait_frac=wait,
        evsi_frac=wait - now,
        evpi_frac=perfect - now,
        good_sign_prob=good,
        posterior_good_sign_prob=after_good,
        posterior_bad_sign_prob=after_bad,
        break_even_late_frac=_break_even(kept, now, anyway),
    )


def _kept(case: WaitCase, take_prob: float) -> float:
    return take_prob * case.keep_ok_frac + (1.0 - take_prob) * case.keep_fail_frac


def _break_even(kept: list[tuple[float, float]], now_frac: float, anyway_frac: float) -> float | None:
    """Least worth of acting late at which waiting reaches `now_frac`; it rises in straight pieces."""
    if anyway_frac >= now_frac:
        return None
    # Signs after which acting late beats keeping join one by one, the worst first.
    rising = sorted(kept, key=lambda each: each[1])
    for joined in range(1, len(rising) + 1):
        acting = sum(share for share, _worth in rising[:joined])
        keeping = sum(share * worth for share, worth in rising[joined:])
        late = (now_frac - keeping) / acting if acting > 0 else float("inf")
        if joined == len(rising) or late <= rising[joined][1]:
            return late
    return None
