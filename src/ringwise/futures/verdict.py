"""The one paragraph of a turning: which course for whom, on what it stands, what may be lost."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import numpy as np

from ringwise.futures.measure_words import measure_text
from ringwise.futures.weighed import CourseWorth, Weighed
from ringwise.futures.weighed_words import Titles
from ringwise.kit import show
from ringwise.kit.words import _, inside_sentence

_CLEAR_FRAC = 0.02  # a wish that one course meets by so much more than any other is named
_LOSS_PROB = 0.05  # losses from here on are told in the paragraph
_EVEN_FRAC = 0.05  # courses are told apart where one is ahead in so many more futures than half
_FIRST_PROB = 0.05  # a course that comes first under fewer other weightings is not said to be for anybody


def _named(course: str, titles: Titles, names: Mapping[str, str]) -> str:
    """ "B (Root grafts)", or the short key where no name is known."""
    name = names.get(course, "")
    return _("{key} ({name})").format(key=titles[course], name=name) if name else titles[course]


def _for_whom(weighed: Weighed, titles: Titles) -> list[str]:
    """Which wishes speak for which course, and how often it comes first under other weights."""
    out = []
    for place, key in enumerate(weighed.other.courses):
        share = float(weighed.other.ranks_frac[place, 0])
        rest = [values for other, values in weighed.by_wish.items() if other != key]
        ahead = weighed.by_wish[key] - (np.max(rest, axis=0) if rest else 0.0)
        best = [number for number in (-ahead).argsort() if ahead[number] > _CLEAR_FRAC][:2]
        named = _(" and ").join(
            _('"{wish}"').format(
                wish=inside_sentence(measure_text(weighed.aims.wishes[number].measure).label)
            )
            for number in best
        )
        if rest and named and share >= _FIRST_PROB:
            out.append(
                _("{a} is for whoever cares most for {wishes}; first under other weights: {chance}.").format(
                    a=titles[key], wishes=named, chance=show.chance(share)
                )
            )
    return out


def verdict_parts(
    weighed: Weighed, titles: Titles, names: Mapping[str, str] | None = None, chances: Sequence[str] = ()
) -> tuple[str, ...]:
    """The one paragraph of a turning by what it is about: the answer, for whom, its luck, losses, figures.

    Parameters
    ----------
    weighed : Weighed
        The turning.
    titles : mapping of str to str
        Short key of each course.
    names : mapping of str to str, optional
        Title of each course.
    chances : sequence of str
        The chances that the courses hang on, in words.

    Returns
    -------
    tuple of str
        Sentences, words before figures; by the weights shown, never by a hidden score.

    Source
    ------
    own.

    Examples
    --------
    >>> verdict_parts.__name__
    'verdict_parts'
    """
    order = weighed.by_worth
    text = []
    if len(order) > 1:
        text += [_beside(weighed, order, titles, names or {}), " ".join(_for_whom(weighed, titles))]
    if chances:
        text.append(_("It hangs on this: {chances}.").format(chances="; ".join(chances)))
    lost = [each for each in order if each.lost_frac >= _LOSS_PROB]
    if lost:
        text.append(
            _("Who cannot bear a loss counts this first: {losses}.").format(
                losses="; ".join(_loss(each, titles[each.course]) for each in lost)
            )
        )
    return tuple(each for each in (*text, _figures(order, weighed, titles)) if each)


def _loss(course: CourseWorth, title: str) -> str:
    chance = show.chance(course.lost_frac)
    if course.none_left_frac is None:
        return _("{a} loses the tree, {chance}").format(a=title, chance=chance)
    return _("{a} loses the separated top, {chance}; the stump as well, {both}").format(
        a=title, chance=chance, both=show.chance(course.none_left_frac)
    )


def _figures(order: tuple[CourseWorth, ...], weighed: Weighed, titles: Titles) -> str:
    return _(
        "In figures: {today} of these aims are met today; on average over all futures and the years that "
        "count {courses}."
    ).format(
        today=show.percent(weighed.today_frac),
        courses=", ".join(f"{titles[c.course]} {show.percent(float(c.worth.mean()))}" for c in order),
    )


def _beside(
    weighed: Weighed, order: tuple[CourseWorth, ...], titles: Titles, names: Mapping[str, str]
) -> str:
    """The course with the highest mean, and in how many futures it is ahead of each other one."""
    first = order[0].course
    parts, alike = [], []
    for other in order[1:]:
        pair = next(p for p in weighed.pairs if {p.first, p.second} == {first, other.course})
        share = pair.first_better_frac if pair.first == first else 1.0 - pair.first_better_frac
        named = _named(other.course, titles, names)
        if share < 0.5 + _EVEN_FRAC:
            alike.append(named)
        else:
            parts.append(_("more than {b}: {chance}").format(b=named, chance=show.chance(share)))
    out = []
    if parts:
        out.append(
            _("By these aims {a} comes first. It meets {others}.").format(
                a=_named(first, titles, names), others="; ".join(parts)
            )
        )
    if alike:
        out.append(
            _("Between {a} and {others} these aims hardly decide.").format(
                a=_named(first, titles, names), others=_(" and ").join(alike)
            )
        )
    return " ".join(out)
