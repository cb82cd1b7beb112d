"""Where days left, a risk after work and carrying in come from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from ringwise.desk.entry_words import operation_words
from ringwise.desk.window_after import days_words
from ringwise.kit import show
from ringwise.kit.errors import NotFoundError
from ringwise.kit.trace import Trace
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.season.window import Window


def after_trace(window: Window, figure: str) -> Trace:
    """The chain behind one of a window's figures.

    Parameters
    ----------
    window : Window
        Of a work.
    figure : str
        "days_left", "carry_in" or a kind of risk.

    Returns
    -------
    Trace
        The chain.

    Raises
    ------
    NotFoundError
        If it is not told for this window.
    """
    work = operation_words(window.operation)
    if figure == "days_left":
        left = window.days_left
        if left is not None and window.closes is not None:
            return Trace(
                label=_("{work}: days left").format(work=work),
                value=days_words(left),
                room="season.chances",
                formula=_("days from {day} to the closing days, {band}").format(
                    day=show.day(window.seen_on), band=show.span(window.closes.low, window.closes.high)
                ),
                source="own",
                basis=window.trace.basis,
                inputs=(window.trace,),
            )
    elif figure == "carry_in":
        if window.after.carry is not None:
            return window.after.carry.why()
    else:
        found = window.after.why(figure)
        if found is not None:
            return found
    raise NotFoundError(
        _("{figure} is not told for this window: {why}").format(figure=figure, why=window.sentence())
    )
