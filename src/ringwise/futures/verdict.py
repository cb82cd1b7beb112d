"""The one paragraph of a turning: which course for whom, what would change it, what is worth waiting for."""

from __future__ import annotations

import numpy as np

from ringwise.futures.aims import weighing
from ringwise.futures.measure_words import measure_text
from ringwise.futures.weighed import CourseWorth, Weighed
from ringwise.futures.weighed_words import Titles, fine, flip_words, wait_words
from ringwise.kit import show
from ringwise.kit.words import _, inside_sentence

_CLEAR_FRAC = 0.02  # a wish that one course meets by so much more than any other is named
_LOSS_PROB = 0.05  # losses from here on are told in the paragraph


def _for_whom(weighed: Weighed, titles: Titles) -> list[str]:
    """Which course comes first under other weights, and which wishes speak for it."""
    out = []
    for place, key in enumerate(weighed.other.courses):
        share = float(weighed.other.ranks_frac[place, 0])
        rest = [values for other, values in weighed.by_wish.items() if other != key]
        ahead = weighed.by_wish[key] - (np.max(rest, axis=0) if rest else 0.0)
        best = [number for number in (-ahead).argsort() if ahead[number] > _CLEAR_FRAC][:2]
        named = ", ".join(
            inside_sentence(measure_text(weighed.aims.wishes[number].measure).label) for number in best
        )
        if rest and named:
            out.append(
                _("{a} serves best: {wishes} (first under {n} in 100 other weightings).").format(
                    a=titles[key], wishes=named, n=round(100 * share)
                )
            )
    return out


def verdict(weighed: Weighed, titles: Titles) -> str:
    """The one paragraph of a turning: which course for whom, what would change it, what to wait for.

    Parameters
    ----------
    weighed : Weighed
        The turning.
    titles : mapping of str to str
        Short key of each course.

    Returns
    -------
    str
        Sentences; by the weights shown, never by a hidden score.

    Source
    ------
    own.

    Examples
    --------
    >>> verdict.__name__
    'verdict'
    """
    order = weighed.by_worth
    text = [
        _("Of these aims {today} are met today.").format(today=show.percent(weighed.today_frac)),
        _("Over the years that count, on average over all futures: {courses}.").format(
            courses=", ".join(f"{titles[c.course]} {show.percent(float(c.worth.mean()))}" for c in order)
        ),
    ]
    if len(order) > 1:
        text.append(_beside(weighed, order, titles))
        text += _for_whom(weighed, titles)
    lost = [each for each in order if each.lost_frac >= _LOSS_PROB]
    if lost:
        text.append(
            _("Who cannot bear a loss counts this first: {losses}.").format(
                losses=", ".join(
                    _("{a} loses the tree, {chance}").format(
                        a=titles[each.course], chance=show.chance(each.lost_frac)
                    )
                    for each in lost
                )
            )
        )
    return " ".join([*text, _change_words(weighed, titles), _wait_verdict(weighed, titles)])


def _beside(weighed: Weighed, order: tuple[CourseWorth, ...], titles: Titles) -> str:
    first = order[0].course
    parts = []
    for other in order[1:]:
        pair = next(p for p in weighed.pairs if {p.first, p.second} == {first, other.course})
        share = pair.first_better_frac if pair.first == first else 1.0 - pair.first_better_frac
        parts.append(_("{b}: {chance}").format(b=titles[other.course], chance=show.chance(share)))
    return _("Future by future {a} meets more than {others}.").format(
        a=titles[first], others="; ".join(parts)
    )


def _change_words(weighed: Weighed, titles: Titles) -> str:
    if weighed.flips:
        return _("What would change it: {turn}.").format(turn=flip_words(weighed.flips[0], titles))
    return _("None of the uncertain inputs alone, as far as these futures reach, changes that order.")


def _wait_verdict(weighed: Weighed, titles: Titles) -> str:
    least = weighing("telling", "least_frac")
    worth = [wait for wait in weighed.waits if wait.found.evsi >= least]
    if worth:
        return wait_words(worth[0], titles)
    if weighed.knowing_all < least:
        return _(
            "Nothing is worth waiting for: knowing every future in advance would add less than {least}."
        ).format(least=show.percent(least))
    return _(
        "No sign of these courses is worth a wait; knowing every future in advance would add {all}."
    ).format(all=fine(weighed.knowing_all))
