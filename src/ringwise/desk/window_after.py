"""The documented keys of what a window leaves and of what may follow its work."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.words import _, counted
from ringwise.season.risk_kinds import BENCH_FROST
from ringwise.season.risk_words import risk_name, risk_sentence

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import date

    from ringwise.season.chances import ChanceByDay, DaysLeft
    from ringwise.season.risk import Risk
    from ringwise.season.window import Window


def risk_values(risk: Risk) -> dict[str, Any]:
    """A risk as plain values without words, as the almanac keeps it.

    Parameters
    ----------
    risk : Risk
        After a work.

    Returns
    -------
    dict
        Keys kind, prob, of_years, first, last, days, limit, worst and lost_frac.
    """
    lost = risk.lost_frac
    return {
        "kind": risk.kind,
        "prob": round(risk.prob, 4),
        "of_years": risk.of_years,
        "first": risk.first.isoformat(),
        "last": risk.last.isoformat(),
        "days": risk.days,
        "limit": round(risk.limit, 2),
        "worst": round(risk.worst, 2),
        "lost_frac": None if lost is None else round(lost, 4),
    }


def risk_shapes(risks: Sequence[Mapping[str, Any]], name: str) -> list[Shape]:
    """Risks in the reader's words.

    Parameters
    ----------
    risks : sequence of mapping
        From `risk_values`.
    name : str
        Of the window, "T03:repot", for their whys.

    Returns
    -------
    list of dict
        The values with name, sentence, years and why.
    """
    return [{**_worded(each), "why": f"{name}:{each['kind']}"} for each in risks]


def _worded(values: Mapping[str, Any]) -> Shape:
    """A risk's values with its name, its sentence and its years."""
    told = {key: values[key] for key in ("prob", "of_years", "limit", "days")}
    return {
        **values,
        "name": risk_name(values["kind"]),
        "sentence": risk_sentence(values["kind"], **told),
        "years": round(values["prob"] * values["of_years"]),
    }


def left_shape(left: DaysLeft | None, why: str) -> Shape | None:
    """Days until a window closes.

    Parameters
    ----------
    left : DaysLeft or None
        Of a window.
    why : str
        Name of its why.

    Returns
    -------
    dict or None
        Keys low, median, high, shown and why; None where only a sign tells.
    """
    if left is None:
        return None
    return {"low": left.low, "median": left.median, "high": left.high, "shown": days_words(left), "why": why}


def days_words(left: DaysLeft) -> str:
    """Days left in words.

    Parameters
    ----------
    left : DaysLeft
        Of a window.

    Returns
    -------
    str
        The band, and its middle where it is one.

    Examples
    --------
    >>> from ringwise.season.chances import DaysLeft
    >>> days_words(DaysLeft(4, 7, 11)), days_words(DaysLeft(1, 1, 1))
    ('4 to 11 days left (median 7)', '1 day left')
    """
    if left.low == left.high:
        return counted("{n} day left", "{n} days left", left.low)
    return _("{low} to {high} days left (median {median})").format(
        low=left.low, high=left.high, median=left.median
    )


def chance_shape(told: ChanceByDay | None, why: str) -> Shape | None:
    """The chance of being open by day.

    Parameters
    ----------
    told : ChanceByDay or None
        Of a window.
    why : str
        Name of its why.

    Returns
    -------
    dict or None
        Keys first (a day), open_prob (one chance a day from it on; on all other days it is closed) and why.
    """
    if told is None:
        return None
    chances = [round(each, 3) for each in told.open_prob]
    return {"first": told.first.isoformat(), "open_prob": chances, "why": why}


def on_day_shape(window: Window, day: date) -> Shape | None:
    """The chance that a window is open on a day, and the risks if the work is done on that very day.

    Parameters
    ----------
    window : Window
        Of a work.
    day : date
        The day.

    Returns
    -------
    dict or None
        Keys day, day_shown, open_prob, open_shown, risks, carry_in and carry_in_words; None where the kind of
        tree is in no list.
    """
    from ringwise.operations.registry import OPERATIONS
    from ringwise.season.after import after_work

    stand = window.after.stand
    if stand is None:
        return None
    after = after_work(stand, day, OPERATIONS[window.operation], near=False)
    chance = window.chance_open(day)
    known = chance == chance  # NaN where no forecast tells
    return {
        "day": day.isoformat(),
        "day_shown": show.day(day, year=True),
        "open_prob": round(chance, 3) if known else None,
        "open_shown": show.odds(chance) if known else "",
        "risks": [_worded(risk_values(each)) for each in after.risks],
        "carry_in": None if after.carry is None else after.carry.state,
        "carry_in_words": after.carry_words,
    }


def after_shape(window: Window) -> Shape:
    """What a window leaves and what may follow its work, under the keys of `ringwise outlook`.

    Parameters
    ----------
    window : Window
        Of a work.

    Returns
    -------
    dict
        Keys days_left, chance_by_day, work_on, work_on_shown, risks, carry_in, carry_in_words, frost_years,
        frost_of_years.
    """
    after = window.after
    frost = after.risk(BENCH_FROST)
    name = f"{window.tree}:{window.operation}"
    return {
        "days_left": left_shape(window.days_left, f"{name}:days_left"),
        "chance_by_day": chance_shape(window.chance_by_day, f"{name}:chance"),
        "work_on": None if after.work_on is None else after.work_on.isoformat(),
        "work_on_shown": "" if after.work_on is None else show.day(after.work_on, year=True),
        "risks": risk_shapes([risk_values(each) for each in after.risks], name),
        "carry_in": None if after.carry is None else after.carry.state,
        "carry_in_words": after.carry_words,
        "frost_years": None if frost is None else frost.years,
        "frost_of_years": None if frost is None else frost.of_years,
    }
