"""From a tree's record to the cut through its pot, as it stands and as it would be."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from ringwise.desk.pot_section import Cut, Fittings
from ringwise.desk.pot_soil import Soil, Tried, soil_in, soil_tried, thinned
from ringwise.desk.pots import find_pot
from ringwise.desk.potting import PottingWish, pot_job, shape_of
from ringwise.desk.shapes import pot_words
from ringwise.kit import show
from ringwise.kit.errors import MissingFieldError, out_of_range
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Pot
    from ringwise.rootzone.pot import PotShape
    from ringwise.rootzone.potting import PotJob

DEPTH_LOW_MM, DEPTH_HIGH_MM, DEPTH_STEP_MM = 20.0, 200.0, 5.0  # of the slider, widened to the pot's own depth
TILT_HIGH_DEG = 45.0


def cut_now(workspace: Workspace, facts: TreeFacts) -> Cut:
    """The cut through the pot of a tree as it stands.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Cut
        To be drawn.

    Raises
    ------
    MissingFieldError
        If it stands in no pot, or in one that was not measured.
    """
    soil = soil_in(workspace, facts)
    job = pot_job(workspace, facts, PottingWish(recipe=soil.recipe.code), None)
    return _cut(facts, job, facts.pot, soil, Tried(), why=f"{facts.tree.id}:pot")


def cut_empty(workspace: Workspace, pot: Pot) -> Cut:
    """The cut through a pot in which no tree stands, as if it were filled with the first recipe.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    pot : Pot
        With known measures.

    Returns
    -------
    Cut
        To be drawn; it says that its mix is an example.
    """
    from ringwise.desk.own_components import own_components
    from ringwise.desk.pot_mixes import blended
    from ringwise.rootzone.litres import MixOrder
    from ringwise.rootzone.mix import grain_for, recipe, recipe_codes
    from ringwise.rootzone.potting import PotJob

    first = recipe(recipe_codes()[0])
    job = PotJob(shape_of(pot), MixOrder(first), holes=pot.holes, pot_material=pot.material)
    filled = _filled(job)
    mixed = blended(
        first, grain_for(filled.fill_height_mm, first.code), workspace.seed, own_components(workspace)
    )
    return Cut(
        words=_("{pot}, mix {code}").format(pot=pot_words(pot), code=first.code),
        pot=filled,
        material=pot.material,
        ready=fittings(job, filled),
        curve=mixed.curve,
        assumed=(_("Empty: drawn as if filled with mix {code}, fresh.").format(code=first.code),),
    )


def cut_tried(workspace: Workspace, facts: TreeFacts, tried: Tried, *, pot: str | None = None) -> Cut:
    """The cut through the pot of a tree as it would be.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.
    tried : Tried
        What was changed.
    pot : str, optional
        Another pot; its depth is its own.

    Returns
    -------
    Cut
        To be drawn; without whys, since nothing of it is on record.

    Raises
    ------
    RangeError
        If depth or tilt lies out of range.
    """
    now = soil_in(workspace, facts)
    stored = facts.pot if pot is None else find_pot(workspace, pot)
    job = pot_job(workspace, facts, PottingWish(pot=None if stored is None else stored.id), None)
    if tried.depth_mm is not None and pot is None:
        job = replace(job, pot=_deep(job.pot, tried.depth_mm))
    if not 0 <= tried.tilt_deg <= TILT_HIGH_DEG:
        raise out_of_range(_("tilt"), f"{tried.tilt_deg:g}°", f"0° to {TILT_HIGH_DEG:g}°")
    soil = soil_tried(workspace, facts, tried, _filled(job).fill_height_mm, now=now)
    job = replace(job, mix=replace(job.mix, recipe=soil.recipe))
    return _cut(facts, job, stored, soil, tried)


def _deep(pot: PotShape, depth_mm: float) -> PotShape:
    low, high = depth_range(pot)
    if not low <= depth_mm <= high:
        raise out_of_range(
            _("pot depth"), show.length(depth_mm), show.spanned(show.length(low), show.length(high))
        )
    return replace(pot, depth_mm=depth_mm)


def depth_range(pot: PotShape) -> tuple[float, float]:
    """How shallow and how deep a pot may be tried.

    Parameters
    ----------
    pot : PotShape
        The pot as it is; its own depth always lies within.

    Returns
    -------
    tuple of float
        In mm.
    """
    return min(DEPTH_LOW_MM, pot.depth_mm), max(DEPTH_HIGH_MM, pot.depth_mm)


def _filled(job: PotJob) -> PotShape:
    from ringwise.rootzone.pot import practice_fill

    return job.pot.filled(job.fill or practice_fill(job.pot))


def _cut(
    facts: TreeFacts, job: PotJob, stored: Pot | None, soil: Soil, tried: Tried, *, why: str = ""
) -> Cut:
    pot = _filled(job)
    ready = fittings(job, pot)
    name = pot_words(stored) if tried.depth_mm is None else ("" if stored is None else stored.id)
    measured = [_("inside measures of the pot")] if why else []
    if not ready.holes_assumed:
        measured.append(_("its holes"))
    if facts.trunk_mm is not None:
        measured.append(_("the trunk"))
    said = ", ".join(measured)
    return Cut(
        words=_("{pot}, mix {code}").format(pot=name, code=soil.recipe.code),
        pot=pot,
        material=job.pot_material,
        ready=ready,
        # level it has the numbers that are told elsewhere; tilted it is sliced, which takes longer
        curve=thinned(soil.curve) if tried.tilt_deg else soil.curve,
        tilt_deg=tried.tilt_deg,
        trunk_mm=facts.trunk_mm,
        why=why,
        assumed=soil.assumed,
        measured=(*((_("Measured: {what}.").format(what=said),) if said else ()), *soil.measured),
    )


def fittings(job: PotJob, pot: PotShape) -> Fittings:
    """What lies in a pot besides its soil; no litres and no lifting, which a slider does not wait for.

    Parameters
    ----------
    job : PotJob
        The pot, what is known of its holes and of the tree.
    pot : PotShape
        The pot as filled.

    Returns
    -------
    Fittings
        Assumed where it was not measured, and it says so.
    """
    from ringwise.rootzone.anchoring import AnchorNeed, anchoring, assumed_holes, mesh_square_mm
    from ringwise.rootzone.cut import assumed_ball
    from ringwise.rootzone.dome import dome_for
    from ringwise.rootzone.litres import refill_row
    from ringwise.rootzone.potting import size_class
    from ringwise.rootzone.surface import surface_of

    size = size_class(pot.volume_cm3)
    holes = job.holes or assumed_holes(pot, size)
    need = AnchorNeed(pot, holes, size, job.tree_height_mm, job.exposed, job.reach_mm)
    return Fittings(
        holes=holes,
        holes_assumed=not job.holes,
        mesh_mm=tuple(mesh_square_mm(hole.diameter_mm) for hole in holes),
        anchor=anchoring(need),
        dome=dome_for(job.base, pot.fill_height_mm),
        surface=surface_of(pot, dressed=job.dressed),
        ball=assumed_ball(pot, 1 - refill_row("").number),  # the same whatever mix is tried
        ball_assumed=True,
    )


def pot_note(facts: TreeFacts) -> str:
    """Why no cut can be drawn; blank where one can.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        One line.
    """
    pot = facts.pot
    if pot is None:
        return _("No pot is noted for {name}. Log a repotting with its pot, and it is drawn here.").format(
            name=facts.tree.name
        )
    if pot.shape == "ground":
        return _("{name} stands in the ground.").format(name=facts.tree.name)
    if pot.length_mm is None or pot.depth_mm is None:
        return _(
            "{pot} has no inside measures yet. Add it again: ringwise pot add {pot} --shape oval "
            '--size "42x31x7.5 cm"'
        ).format(pot=pot.id)
    return ""


def known_pot(facts: TreeFacts) -> Pot:
    """The measured pot of a tree.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Pot
        Its pot.

    Raises
    ------
    MissingFieldError
        If there is none.
    """
    note = pot_note(facts)
    if note or facts.pot is None:
        raise MissingFieldError(note, where=facts.tree.id)
    return facts.pot
