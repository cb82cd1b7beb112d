"""A weighed turning as plain values and sentences for the page and the terminal."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from ringwise.futures.aims import aim_title, weighing
from ringwise.futures.compare import quantile_dots
from ringwise.futures.drivers import input_words
from ringwise.futures.measure_words import measure_text
from ringwise.futures.verdict import verdict_parts
from ringwise.futures.weighed import Weighed, WeighedPair
from ringwise.futures.weighed_view import CourseMet, PairMet, WeighedView, WishMet
from ringwise.futures.weighed_words import Titles, fine, flip_words, range_words, until_words, wait_words
from ringwise.kit import show
from ringwise.kit.words import _

_DOTS = 40
_TURNS = 4


def weighed_view(
    weighed: Weighed,
    titles: Titles,
    sunk: str = "",
    *,
    names: Mapping[str, str] | None = None,
    chances: Sequence[str] = (),
) -> WeighedView:
    """A weighed turning as plain values and sentences.

    Parameters
    ----------
    weighed : Weighed
        The turning.
    titles : mapping of str to str
        Short key of each course.
    sunk : str
        What was put in so far, in words.
    names : mapping of str to str, optional
        Title of each course.
    chances : sequence of str
        The chances that the courses hang on, in words.

    Returns
    -------
    WeighedView
        For the page and the terminal.

    Source
    ------
    own.

    Examples
    --------
    >>> weighed_view.__name__
    'weighed_view'
    """
    time = weighed.time
    parts = verdict_parts(weighed, titles, names, chances)
    return WeighedView(
        title=aim_title(weighed.aims.name) if not weighed.aims.own else _own_title(weighed),
        time_words=_("early, middle and late years count {a} : {b} : {c}").format(
            a=show.number(time.early), b=show.number(time.middle), c=show.number(time.late)
        ),
        today_frac=weighed.today_frac,
        wishes=_wishes(weighed, titles),
        courses=tuple(_course_met(weighed, place, titles) for place in range(len(weighed.courses))),
        pairs=tuple(
            PairMet(titles[p.first], titles[p.second], p.first_better_frac, _pair_words(p, titles))
            for p in weighed.pairs
        ),
        turns=tuple(flip_words(each, titles) for each in weighed.flips[:_TURNS]),
        waits=tuple(wait_words(each, titles) for each in weighed.waits),
        knowing=_knowing_words(weighed),
        verdict=" ".join(parts),
        sunk=sunk,
        parts=parts,
    )


def _own_title(weighed: Weighed) -> str:
    return _("your own aims, from: {set}").format(set=aim_title(weighed.aims.name))


def _wishes(weighed: Weighed, titles: Titles) -> tuple[WishMet, ...]:
    return tuple(
        WishMet(
            measure_text(wish.measure).label,
            range_words(wish),
            float(weighed.aims.weights[number]),
            float(weighed.today[number]),
            tuple((titles[key], float(row[number])) for key, row in weighed.by_wish.items()),
        )
        for number, wish in enumerate(weighed.aims.wishes)
    )


def _course_met(weighed: Weighed, place: int, titles: Titles) -> CourseMet:
    course, other = weighed.courses[place], weighed.other
    return CourseMet(
        course=titles[course.course],
        band=course.band,
        dots=tuple(quantile_dots(course.worth, _DOTS).tolist()),
        by_year=tuple(course.met_by_year.items()),
        until_words=until_words(course, weighed.years),
        first_rank_frac=float(other.ranks_frac[place, 0]),
        most_regret_frac=float(other.most_regret_frac[place]),
        regret_now_frac=float(other.regret_now_frac[place]),
    )


def _knowing_words(weighed: Weighed) -> str:
    """What could be found out at most, by anything and by a single input."""
    least = weighing("telling", "least_frac")
    if weighed.knowing_all < least:
        return _(
            "Nothing is worth finding out first: knowing every future would add less than {least}."
        ).format(least=show.percent(least))
    text = _("All that could be found out first would add {all} of the aims at most").format(
        all=fine(weighed.knowing_all)
    )
    name, worth = next(iter(weighed.knowing.items()))
    if worth < least:
        return _("{text}; no single thing is worth finding out by itself.").format(text=text)
    return _("{text}; of single things {input} counts most, {worth}.").format(
        text=text, input=input_words(name), worth=fine(worth)
    )


def _pair_words(pair: WeighedPair, titles: Titles) -> str:
    first, second = titles[pair.first], titles[pair.second]
    share = pair.first_better_frac
    if share < 0.5:
        first, second, share = second, first, 1.0 - share
    text = _("{a} meets more than {b}: {chance}").format(a=first, b=second, chance=show.chance(share))
    if pair.order == "none":
        return text
    above = titles[pair.dominant]
    rule = {
        "first": _("{a} is ahead at every level, whatever one thinks of risk"),
        "second": _("{a} also suits whoever shuns risk"),
    }[pair.order].format(a=above)
    return f"{text}; {rule}"
