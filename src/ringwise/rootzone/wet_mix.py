"""What a mix loses on mixing and weighs when it holds all it can, from its parts and the pot's height."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from ringwise.kit.errors import UnknownNameError
from ringwise.kit.show import number
from ringwise.kit.trace import Trace
from ringwise.kit.words import _
from ringwise.rootzone.blend import Blend, blend
from ringwise.rootzone.container import container_state
from ringwise.rootzone.lifting import WetMix
from ringwise.rootzone.mix import Grain, Recipe
from ringwise.rootzone.pot import PotShape

ROOM = "rootzone.wet_mix"
DRAWS = 100  # enough for the ends of a band
SEED = 0
BAND_PCT = (10.0, 50.0, 90.0)


@lru_cache(maxsize=64)
def _blend(recipe: Recipe, grain: Grain) -> Blend | None:
    try:
        return blend(recipe, grain=grain, draws=DRAWS, seed=SEED)
    except UnknownNameError:  # a grower's own part that nobody measured: the planning figures stand
        return None


def yield_of(recipe: Recipe, grain: Grain) -> float:
    """What mixing keeps of the loose volume of the parts, all sieved to one cut.

    Parameters
    ----------
    recipe : Recipe
        The mix.
    grain : Grain
        The cut.

    Returns
    -------
    float
        1 where no part fills the gaps of another, or where a part is not known.

    Source
    ------
    own: packing by grain size.

    Examples
    --------
    >>> from ringwise.rootzone.mix import grain_for, recipe
    >>> yield_of(recipe("D"), grain_for(70.0, "D")), yield_of(recipe("T"), grain_for(70.0, "T")) < 1
    (1.0, True)
    """
    made = _blend(recipe, grain)
    return 1.0 if made is None else min(1.0, round(float(np.median(made.yield_frac)), 4))


def wet_mix(pot: PotShape, recipe: Recipe, grain: Grain) -> WetMix | None:
    """Mass of a litre of a mix that has drained in a pot.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    recipe : Recipe
        The mix.
    grain : Grain
        The cut that its parts are sieved to.

    Returns
    -------
    WetMix or None
        Dry mass and the water held at capacity; None where a part is not known.

    Source
    ------
    own: bulk density of the parts and the water held at rest, 1 kg a litre.

    Examples
    --------
    >>> from ringwise.rootzone.mix import grain_for, recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("oval", PotLengths(500, 370, 80))
    >>> wet = wet_mix(tray, recipe("D"), grain_for(80.0, "D"))
    >>> 0.9 < wet.low < wet.kg_per_l_ratio < wet.high < 1.3
    True
    """
    made = _blend(recipe, grain)
    if made is None:
        return None
    held = container_state(pot, made.curve).theta_v
    low, middle, high = (float(each) for each in np.percentile(made.bulk_kg_l + held, BAND_PCT))
    dry, water = float(np.median(made.bulk_kg_l)), float(np.median(held))
    words = _("dry {dry} kg and {water} L of water a litre").format(
        dry=number(dry, 3), water=number(water, 2)
    )
    shown = _("{n} kg/L").format(n=number(middle, 3))
    trace = Trace(_("a litre of wet mix"), shown, ROOM, words, "own", "assumed", (made.trace,))
    return WetMix(middle, low, high, trace)
