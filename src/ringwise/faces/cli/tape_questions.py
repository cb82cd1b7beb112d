"""The tape by questions: height, girths, branches, each answer checked where it is given."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import TYPE_CHECKING, TypeVar

from ringwise.kit.errors import InputError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.tape_typed import TapeGiven

Ask = Callable[[str], str]
T = TypeVar("T")


def asked_tape(ask: Ask, say: Callable[[str], None]) -> TapeGiven | None:
    """What a grower answers at the bench; None where the first questions stay empty.

    Parameters
    ----------
    ask : callable
        Puts a question and gives the answer.
    say : callable
        Says a line, such as what is wrong with an answer.

    Returns
    -------
    TapeGiven or None
        Checked answer by answer; nothing was stored yet.
    """
    from ringwise.desk.tape_typed import TapeGiven, girth_typed, tape_given

    first_girth = ("10mm@0mm",)  # stands in until a girth is known, so that the height can be checked alone

    def height(text: str) -> TapeGiven:
        given = TapeGiven(text, tuple(girth_typed(each) for each in first_girth))
        tape_given(given)
        return replace(given, girths=())

    say(_("Empty ends a list; Ctrl+C ends all and stores nothing."))
    begun = _answered(_("Height above the soil, such as 44cm"), height, ask, say)
    if begun is None:
        return None
    given = _many(begun, _more_girths, _("Girth {n} of the trunk, girth@height such as 29cm@3cm"), (ask, say))
    if not given.girths:
        return None
    question = _("Branch {n}, height,clock,diameter,length,tips such as 14cm,3,12mm,18cm,24 or 14cm,,12mm")
    given = _many(given, _more_branches, question, (ask, say))
    given = _answered(_("Tips of the apex"), partial(_with_apex, given), ask, say) or given
    given = _answered(_("Lean of the apex, such as 4cm"), partial(_with_lean, given), ask, say) or given
    if given.lean:
        question = _("Leans towards, by the clock, 6 is the front")
        given = _answered(question, partial(_with_lean_clock, given), ask, say) or given
    return given


def _with_apex(given: TapeGiven, text: str) -> TapeGiven:
    return _checked(replace(given, apex_tips=text))


def _with_lean(given: TapeGiven, text: str) -> TapeGiven:
    return _checked(replace(given, lean=text))


def _with_lean_clock(given: TapeGiven, text: str) -> TapeGiven:
    return _checked(replace(given, lean_clock=text))


def _more_girths(given: TapeGiven, text: str) -> TapeGiven:
    from ringwise.desk.tape_typed import girth_typed

    return _checked(replace(given, girths=(*given.girths, girth_typed(text, field=_("girth")))))


def _more_branches(given: TapeGiven, text: str) -> TapeGiven:
    from ringwise.desk.tape_typed import branch_typed

    return _checked(replace(given, branches=(*given.branches, branch_typed(text, field=_("branch")))))


def _checked(given: TapeGiven) -> TapeGiven:
    from ringwise.desk.tape_typed import tape_given

    tape_given(given)
    return given


def _answered(question: str, read: Callable[[str], T], ask: Ask, say: Callable[[str], None]) -> T | None:
    """One answer that reads, or None for an empty one."""
    while True:
        text = ask(question).strip()
        if not text:
            return None
        try:
            return read(text)
        except InputError as wrong:
            say(str(wrong))


def _many(
    given: TapeGiven,
    add: Callable[[TapeGiven, str], TapeGiven],
    question: str,
    talk: tuple[Ask, Callable[[str], None]],
) -> TapeGiven:
    """Answers until an empty one."""
    number = 1
    while True:
        more = _answered(question.format(n=number), partial(add, given), *talk)
        if more is None:
            return given
        given, number = more, number + 1
