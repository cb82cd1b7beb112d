"""The words of a turning's page: measures, what drives the answer, the signs that settle it."""

from __future__ import annotations

from collections.abc import Mapping

from ringwise.futures.compare import Comparison
from ringwise.futures.drivers import Drive, input_words
from ringwise.futures.measure_words import measure_text
from ringwise.futures.view import Driver, Sign
from ringwise.kit.words import _

_DRIVES = 5
_SEEN_SHARE = 0.02  # inputs that explain less are not shown
_DRAWN_BASIS = {
    "rooting": "assumed",
    "severed_survival": "assumed",
    "root_sector": "assumed",
    "union": "assumed",
    "vigour": "transferred",
    "pot_exponent": "transferred",
    "area_exponent": "transferred",
    "closure": "transferred",
}


def _direction(drive: Drive, titles: Mapping[str, str]) -> str:
    more, fewer = drive.first, drive.second
    if drive.correlation_ratio > 0:
        more, fewer = fewer, more
    if drive.measure == "alive":
        return _("The more of it, the better the tree's chance under {course}.").format(course=titles[more])
    return _("The more of it, the more often {course} ends up {more} than {other}.").format(
        course=titles[more], other=titles[fewer], more=measure_text(drive.measure).more
    )


def drivers_shown(comparison: Comparison, titles: Mapping[str, str]) -> tuple[Driver, ...]:
    """The strongest inputs, each once, in words.

    Parameters
    ----------
    comparison : Comparison
        The courses side by side.
    titles : mapping of str to str
        Short key of each course.

    Returns
    -------
    tuple of Driver
        At most five.

    Source
    ------
    own.

    Examples
    --------
    >>> drivers_shown(Comparison((), (), (), {}, (), {}, 0, {}, {}, (), ()), {})
    ()
    """
    out: dict[str, Driver] = {}
    for drive in comparison.drivers:
        if drive.input not in out and drive.share_frac >= _SEEN_SHARE and len(out) < _DRIVES:
            basis = _DRAWN_BASIS.get(drive.input, "assumed")
            words = input_words(drive.input)
            label = words[0].upper() + words[1:]
            out[drive.input] = Driver(label, _direction(drive, titles), drive.share_frac, basis)
    return tuple(out.values())


def signs_of(question: str, last_ring: str = "") -> tuple[Sign, ...]:
    """What settles the question, until when one may wait, and what waiting costs.

    Parameters
    ----------
    question : str
        "base", "graft", "chop", "lift" or "other".
    last_ring : str
        Until when a ring can be set this year, in words; a general word without it.

    Returns
    -------
    tuple of Sign
        In words.

    Source
    ------
    practice: layers need hard first leaves and six weeks after rooting; grafts are judged by feeding.

    Examples
    --------
    >>> len(signs_of("graft")), len(signs_of("lift"))
    (1, 1)
    """
    ring = last_ring or _(
        "the last day on which the ring can still root and then grow for six more weeks before "
        "the first autumn frost; after that, wait for the next growing season"
    )
    return {"graft": _graft_signs, "base": _base_signs, "chop": _chop_signs, "lift": _lift_signs}.get(
        question, _no_signs
    )(ring)


def _no_signs(_ring: str) -> tuple[Sign, ...]:
    return ()


def _graft_signs(_ring: str) -> tuple[Sign, ...]:
    return (
        Sign(
            _("Thicker beyond the joint than before it at two checks, callus on both sides."),
            _("the donor's own leaves are hard in the next growing season; never judged by shoot length"),
            _("a season at this site; the donor keeps feeding itself meanwhile"),
        ),
    )


def _base_signs(ring: str) -> tuple[Sign, ...]:
    return (
        Sign(
            _("Roots all round the ring, brown and branching, in at least 8 of 12 sectors."),
            ring,
            _("one year of new roots; the ring grows wider as the trunk thickens"),
        ),
        Sign(
            _("At the next repot: which sectors hold roots that reach the wall."),
            _("the next repot"),
            _("nothing for the ground layer; a season for root grafts"),
        ),
    )


def _chop_signs(ring: str) -> tuple[Sign, ...]:
    return (
        Sign(
            _("Roots in the moss all round the ring, brown and branching: cut the top off only then."),
            ring,
            _("a season for the new leader; a chop stays possible while a ring is on, at no cost but time"),
        ),
        Sign(
            _("A live bud or shoot close below the cut, on the side where the new line is to rise."),
            _("the buds swell; a chop comes before they open"),
            _("a season; the wound grows wider as the trunk thickens"),
        ),
    )


def _lift_signs(_ring: str) -> tuple[Sign, ...]:
    return (
        Sign(
            _(
                "The girth at the soil against the one you want, low branches where the first ones are to "
                "stand, and, a hand's width down, roots close to the trunk."
            ),
            _("the buds swell; after that, wait for next spring"),
            _("thicker roots to cut with each year in the ground; girth comes several times faster there"),
        ),
    )
