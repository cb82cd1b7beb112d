"""The curve of a tree's own pot: its mix, aged by the years since repotting, corrected by its weighings."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property, lru_cache
from typing import TYPE_CHECKING

from ringwise.desk.entry_words import entry_title
from ringwise.desk.own_components import own_components
from ringwise.desk.pot_mixes import DRAWS, pot_mix
from ringwise.desk.pot_weighings import PotRecord, pot_record
from ringwise.kit import show
from ringwise.kit.ranged import ranged
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _, counted
from ringwise.records.date_shown import date_shown

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from ringwise.desk.workspace import Workspace
    from ringwise.kit.types import FloatArray
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.ageing import Ageing
    from ringwise.rootzone.blend import Blend
    from ringwise.rootzone.calibrate import Fit, Measured
    from ringwise.rootzone.components import Component
    from ringwise.rootzone.container import ContainerState
    from ringwise.rootzone.drain_trend import DrainTrend
    from ringwise.rootzone.mix import Grain, Recipe
    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.retention import RetentionCurve
    from ringwise.rootzone.soil_air import LostAir

ROOM = "desk.pot_curves"
WEIGHED_DRAWS = 2000  # of which the weighings choose 200
_YARD = 400  # pots whose curves are kept


@dataclass(frozen=True)
class PotCurve:
    """A pot as filled with the curve of its soil in 200 draws, after its weighings where there are any.

    `known` says that the mix was written down, `weighed` that weighings or drain tests have spoken. `words`
    tell what it stands on, one sentence each; `contradicts` is the sentence for weighings that do not fit it.
    """

    pot: PotShape
    recipe: Recipe
    grain: Grain
    known: bool
    words: tuple[str, ...]
    record: PotRecord
    trace: Trace
    soil: AgedSoil

    @property
    def blend(self) -> Blend:
        """The mix as it is now."""
        return self.soil.blend

    @property
    def curve(self) -> RetentionCurve:
        """Of the soil as it is now."""
        return self.soil.blend.curve

    @property
    def curve_unweighed(self) -> RetentionCurve:
        """Of the soil by its mix and its years alone."""
        return _unweighed(self.soil.made, self.record.years).blend.curve

    @property
    def weighed(self) -> bool:
        """Whether what was measured on this pot has told anything."""
        return self.soil.fit is not None and self.soil.fit.told

    @property
    def trend(self) -> DrainTrend | None:
        """Of its drain tests since it was filled; None with fewer than two."""
        return self.record.trend

    @property
    def contradicts(self) -> str:
        """What is said where the weighings do not fit the mix; blank where they do."""
        fit = self.soil.fit
        if fit is None or not fit.contradicts:
            return ""
        return _(
            "These weighings do not fit what this pot is taken for: check the scale, that nothing dripped "
            "any more, and which mix is in it. They are trusted less until then."
        )

    @cached_property
    def state(self) -> ContainerState:
        """What the pot holds at rest."""
        from ringwise.rootzone.container import container_state

        return container_state(self.pot, self.curve)

    @cached_property
    def wet_depth_frac(self) -> FloatArray:
        """Share of the soil's depth with less air than the mark, one value a draw."""
        from ringwise.rootzone.soil_air import wet_depth_frac

        return wet_depth_frac(self.pot, self.curve)

    @cached_property
    def lost_air(self) -> LostAir:
        """How much air this soil has lost in the pot, and which share of that its fines took."""
        from ringwise.rootzone.soil_air import lost_air

        return lost_air(self.pot, self.soil.blend_at, self.soil.ageing)


@dataclass(frozen=True)
class AgedSoil:
    """The soil of a pot: how far it has aged in each draw, what it is now, and which draws a fit has kept."""

    made: _Filled
    ageing: Ageing
    blend: Blend
    draws: int
    fit: Fit | None = None

    def blend_at(self, broken_frac: float) -> Blend:
        """The mix with a share of its granules broken, in the draws of this soil."""
        mixed = _broken(self.made, self.draws, broken_frac)
        return mixed if self.fit is None else picked(mixed, self.fit.picked)


@dataclass(frozen=True)
class _Filled:
    """What a pot was filled with."""

    recipe: Recipe
    grain: Grain
    seed: int
    own: tuple[Component, ...]


def picked(mixed: Blend, which: NDArray[np.intp]) -> Blend:
    """Some draws of a mix.

    Parameters
    ----------
    mixed : Blend
        With draws.
    which : array of int
        Their places.

    Returns
    -------
    Blend
        With as many draws as places.
    """
    from ringwise.rootzone.retention import RetentionCurve

    held = mixed.curve
    curve = RetentionCurve(
        held.residual_v[which],
        held.saturated_v[which],
        held.shares[which],
        held.alphas_per_cm[which],
        held.ns[which],
    )
    return replace(
        mixed,
        curve=curve,
        packing_frac=mixed.packing_frac[which],
        yield_frac=mixed.yield_frac[which],
        bulk_kg_l=mixed.bulk_kg_l[which],
        cec_cmol_l=mixed.cec_cmol_l[which],
        effective_mm=mixed.effective_mm[which],
    )


@lru_cache(maxsize=64)
def _broken(made: _Filled, draws: int, broken_frac: float) -> Blend:
    from ringwise.rootzone.blend import blend

    own = {each.key: each for each in made.own}
    return blend(made.recipe, grain=made.grain, draws=draws, seed=made.seed, broken_frac=broken_frac, own=own)


def _at(made: _Filled, draws: int) -> Callable[[float], Blend]:
    return lambda broken_frac: _broken(made, draws, broken_frac)


@lru_cache(maxsize=_YARD)
def _unweighed(made: _Filled, years: float | None) -> AgedSoil:
    """A soil that nobody weighed: pots of one mix, cut and age share it."""
    from ringwise.rootzone.ageing import aged, ageing_of

    ageing = ageing_of(years, draws=DRAWS, seed=made.seed)
    return AgedSoil(made, ageing, aged(_at(made, DRAWS), ageing), DRAWS)


@lru_cache(maxsize=_YARD)
def _weighed(
    made: _Filled, pot: PotShape, measured: Measured, years: float | None, years_then: float | None
) -> AgedSoil:
    """A soil after what was measured on its pot."""
    import numpy as np

    from ringwise.rootzone.ageing import aged, ageing_of
    from ringwise.rootzone.calibrate import PotPrior, calibrate

    ageing = ageing_of(years, draws=WEIGHED_DRAWS, seed=made.seed)
    blend_at = _at(made, WEIGHED_DRAWS)
    now = aged(blend_at, ageing)
    slowing = None
    if measured.drain_ratio is not None and years_then is not None:
        then = aged(blend_at, ageing_of(years_then, draws=WEIGHED_DRAWS, seed=made.seed))
        slowing = -_conducts_log(now) + _conducts_log(then)
    fit = calibrate(PotPrior(pot, now, slowing), measured, seed=made.seed)
    if not fit.told:
        return _unweighed(made, years)
    kept = np.asarray(fit.picked)
    return AgedSoil(made, ageing.picked(kept), picked(now, kept), WEIGHED_DRAWS, fit)


def _conducts_log(mixed: Blend) -> FloatArray:
    """Logarithm of what the voids let through: their share times the square of their width."""
    import numpy as np

    return np.asarray(np.log(mixed.void_v) + 2.0 * np.log(mixed.curve.alphas_per_cm[..., 0]))


def pot_curve(workspace: Workspace, facts: TreeFacts) -> PotCurve:
    """The curve of the pot that a tree stands in.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    PotCurve
        Its soil is made once for the same pot, mix, age and measurements; only pots that were weighed or
        tested cost more than a look.

    Raises
    ------
    MissingFieldError
        If the tree stands in no measured pot.
    """
    mix = pot_mix(workspace, facts)
    record = pot_record(facts, workspace.today)
    made = _Filled(mix.recipe, mix.grain, workspace.seed, tuple(own_components(workspace).values()))
    if record.measured is None:
        soil = _unweighed(made, record.years)
    else:
        soil = _weighed(made, mix.pot, record.measured, record.years, record.years_then)
    words = (mix.words, _age_words(record, soil), *_measured_words(record, soil))
    trace = _trace(mix.blend, record, soil, words)
    return PotCurve(mix.pot, mix.recipe, mix.grain, mix.known, words, record, trace, soil)


def _age_words(record: PotRecord, soil: AgedSoil) -> str:
    broken, roots = ranged(soil.ageing.broken_frac), ranged(soil.ageing.root_frac)
    if record.years is None:
        since = _("The last repotting is not known")
    elif record.years < 0.5:
        since = _("Repotted within the last half year")
    else:
        since = _("Repotted about {years} ago").format(
            years=counted("{n} year", "{n} years", max(1, round(record.years)))
        )
    return _(
        "{since}: {broken} of the granules that crumble are taken as fines, {roots} of the voids as filled "
        "by roots."
    ).format(
        since=since,
        broken=show.spanned(show.percent(broken.low), show.percent(broken.high)),
        roots=show.spanned(show.percent(roots.low), show.percent(roots.high)),
    )


def _measured_words(record: PotRecord, soil: AgedSoil) -> list[str]:
    if soil.fit is None or not soil.fit.told:
        return [_("Not weighed yet: all of it is reckoned from the mix.")]
    told = []
    if record.weighings:
        told.append(counted("{n} weighing", "{n} weighings", len(record.weighings)))
    if record.drains:
        told.append(counted("{n} drain test", "{n} drain tests", len(record.drains)))
    newest = max((*record.weighings, *record.drains), key=lambda each: each.on.by or date.min)
    return [
        _("Corrected by {what} of this pot, the last of {day}.").format(
            what=_("{one} and {two}").format(one=told[0], two=told[1]) if len(told) > 1 else told[0],
            day=date_shown(newest.on),
        )
    ]


def _trace(mixed: Blend, record: PotRecord, soil: AgedSoil, words: tuple[str, ...]) -> Trace:
    from ringwise.rootzone.ageing import ageing_row
    from ringwise.rootzone.calibrate import calibrate_row

    below = [
        mixed.trace,
        trace_parameter(ageing_row("broken_frac_year"), _("granules that crumble in a year")),
        trace_parameter(ageing_row("root_frac_year"), _("voids that roots fill in a year")),
    ]
    if soil.fit is not None and soil.fit.told:
        entries = [*record.weighings, *record.drains]
        below += [
            Trace(entry_title(each), date_shown(each.on), "record", "", "", "measured") for each in entries
        ]
        below += [trace_parameter(calibrate_row("scale", "mass_g"), _("spread of one weighing"))]
        if record.drains:
            below += [trace_parameter(calibrate_row("drain", "ratio_sd_log"), _("spread of two drain tests"))]
    basis = "measured" if soil.fit is not None and soil.fit.told else "assumed"
    return Trace(
        _("soil of this pot"),
        words[-1],
        ROOM,
        _("mix, years in the pot, weighings"),
        "own",
        basis,
        tuple(below),
    )
