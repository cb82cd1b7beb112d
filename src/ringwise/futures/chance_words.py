"""The chances that a turning stands on, in words first: rings that root, tops that live, grafts that take."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from ringwise.futures.course import Course
from ringwise.futures.rings import thick_stem_mm, trunk_of
from ringwise.futures.start import Start
from ringwise.growth.biology import Biology
from ringwise.growth.odds import Odds, odds_quantile, shifted_prob
from ringwise.growth.tries import Learned, life_after
from ringwise.growth.try_conditions import Covariates, shift_logit
from ringwise.kit import show
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _, counted
from ringwise.structure.measured import measured_of

_ENDS: FloatArray = np.array([0.1, 0.9])
_LAYERS = frozenset({"air_layer", "ground_layer"})
_GRAFTS = frozenset({"approach_graft", "thread_graft"})


def range_in_tenths(odds: Odds, *, shift_logit: float = 0.0) -> tuple[int, int]:
    """The range that holds eight times in ten, in whole tenths.

    Parameters
    ----------
    odds : Odds
        The odds.
    shift_logit : float
        What this try's conditions add to them.

    Returns
    -------
    tuple of int
        Least and most, 0 to 10.

    Source
    ------
    own.

    Examples
    --------
    >>> range_in_tenths(Odds(6.5, 2.2))
    (6, 9)
    """
    low, high = (round(10 * float(each)) for each in _shifted(odds_quantile(odds, _ENDS), shift_logit))
    return low, high


def _shifted(probs: FloatArray, shift_logit: float) -> FloatArray:
    return shifted_prob(probs, shift_logit) if shift_logit else probs


def range_of_chance(odds: Odds, *, shift_logit: float = 0.0) -> str:
    """A chance in words, then the range in tenths that holds eight times in ten.

    Parameters
    ----------
    odds : Odds
        The odds.
    shift_logit : float
        What this try's conditions add to them.

    Returns
    -------
    str
        Words before digits.

    Source
    ------
    own.

    Examples
    --------
    >>> range_of_chance(Odds(6.5, 2.2))
    'likely, about 6 to 9 in 10'
    >>> range_of_chance(Odds(6.5, 2.2), shift_logit=-1.0)
    'even odds, about 3 to 8 in 10'
    """
    word = show.chance_word(float(_shifted(np.array([odds.mean_prob]), shift_logit)[0]))
    low, high = range_in_tenths(odds, shift_logit=shift_logit)
    if low == high:
        return _("{word}, about {n} in 10").format(word=word, n=low)
    return _("{word}, about {low} to {high} in 10").format(word=word, low=low, high=high)


def _from(told: Learned, cell: str) -> str:
    tried = told.count(cell)[1]
    if not tried:
        return _("from general practice alone")
    if cell == "layer":
        return counted(
            "from {n} of your layers and general practice",
            "from {n} of your layers and general practice",
            tried,
        )
    return counted(
        "from {n} of your tries and general practice", "from {n} of your tries and general practice", tried
    )


def chances_of(start: Start, life: Biology, courses: Sequence[Course]) -> tuple[str, ...]:
    """What the courses of a turning hang on, each chance in words with where it comes from.

    Parameters
    ----------
    start : Start
        The tree, with the grower's own tries.
    life : Biology
        Its taxon.
    courses : sequence of Course
        Of the turning.

    Returns
    -------
    tuple of str
        One for each kind of luck that a course needs, as its vigour and thickness shift it in a run; none
        where it needs none.

    Source
    ------
    odds.csv and the grower's own tries.

    Examples
    --------
    >>> from ringwise.futures.catalogue import ready_course
    >>> from ringwise.growth.biology import biology
    >>> from ringwise.growth.start import Condition
    >>> from ringwise.structure.table import single_segment
    >>> start = Start((single_segment(length_mm=40.0, diameter_mm=3.0),), Condition(6.0), 2027)
    >>> told = chances_of(start, biology(("morus",)), (ready_course("ground_layer"),))
    >>> told[0], told[-1]
    ('a ring roots: likely, about 6 to 9 in 10', 'all of it from general practice alone')
    """
    told, life = start.learned or Learned(), life_after(life, start.learned)
    done = {step.operation for course in courses for step in course.steps}
    out: list[tuple[str, str, str]] = []
    vigour = shift_logit(Covariates(vigour=start.condition.vigour))
    if done & _LAYERS:
        for thick in sorted({each > thick_stem_mm() for each in _ringed_mm(start, courses)}):
            shift = shift_logit(Covariates(vigour=start.condition.vigour, thick_stem=thick))
            what = _("a ring on wood over {width} roots") if thick else _("a ring roots")
            what = what.format(width=show.length(thick_stem_mm()))
            out.append((what, range_of_chance(life.layer, shift_logit=shift), _from(told, "layer")))
        lives = range_of_chance(life.severed)
        out.append((_("a rooted top lives once it is cut off"), lives, _from(told, "severed")))
    if start.graft is not None and done & {"sever_graft", "abandon_graft"}:
        checks = counted(
            "from {n} check and general practice",
            "from {n} checks and general practice",
            len(start.graft.signs),
        )
        takes = show.chance(start.graft.take_prob(life.approach.mean_prob))
        out.append((_("the graft that is on takes"), takes, checks))
    if done & _GRAFTS:
        chance = range_of_chance(life.approach, shift_logit=vigour)
        out.append((_("a new graft takes"), chance, _from(told, "graft")))
    if "root_graft" in done:
        chance = range_of_chance(life.approach, shift_logit=vigour)
        out.append((_("a root graft takes"), chance, _from(told, "graft")))
    return _joined(out)


def _ringed_mm(start: Start, courses: Sequence[Course]) -> list[float]:
    """How thick the trunk is at each ring that the courses set."""
    trunk = trunk_of(measured_of(start.tables[0]))
    ways = [
        trunk.at(step.height_mm) for course in courses for step in course.steps if step.operation in _LAYERS
    ]
    plane = trunk.plane
    return [float(np.interp(way, plane.along_mm, plane.diameter_mm)) for way in ways if way == way]


def _joined(chances: Sequence[tuple[str, str, str]]) -> tuple[str, ...]:
    """Each chance as a text; what they all stand on is said once, with the last of them."""
    alike = len({basis for _what, _chance, basis in chances}) == 1 and len(chances) > 1
    if not alike:
        return tuple(
            _("{what}: {chance}, {basis}").format(what=what, chance=chance, basis=basis)
            for what, chance, basis in chances
        )
    texts = [_("{what}: {chance}").format(what=what, chance=chance) for what, chance, _basis in chances]
    return (*texts, _("all of it {basis}").format(basis=chances[0][2]))
