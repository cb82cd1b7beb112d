"""All that must lie ready before roots are exposed: litres, dome, dressing, mesh, wire, who lifts.

Nothing is printed that has no chain to a row: every figure of a `Potting` answers `why`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from ringwise.kit.errors import unknown_name
from ringwise.kit.show import length
from ringwise.kit.show import litres as shown_litres
from ringwise.kit.tables import load_table
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.records.model import Hole
from ringwise.rootzone.anchoring import Anchoring, AnchorNeed, Tie, anchoring, assumed_holes, mesh_square_mm
from ringwise.rootzone.ball import KeptBall, check_mouth, fitting
from ringwise.rootzone.batches import MixNeed
from ringwise.rootzone.cut import RootBall, assumed_ball
from ringwise.rootzone.dome import Dome, RootBase, dome_for, no_dome
from ringwise.rootzone.lifting import LiftMass, lift_mass
from ringwise.rootzone.litres import Litres, MixOrder, litres_for
from ringwise.rootzone.mix import Grain, Recipe, grain_for
from ringwise.rootzone.placing import Hint, Place, hints, place_of
from ringwise.rootzone.pot import Fill, PotShape, practice_fill
from ringwise.rootzone.surface import Surface, surface_of
from ringwise.rootzone.tie_plan import TiePlan, TieTask, TreeLoad, tie_plan
from ringwise.rootzone.wet_mix import wet_mix, yield_of

ROOM = "rootzone.potting"
SIZES = ("XL", "L", "M", "S", "XS")  # largest first: the first whose least volume is reached


@dataclass(frozen=True)
class PotJob:
    """What is known before the work: destination pot by its inside measures, mix, and the tree's own numbers.

    Without `fill` the trade's allowances are used. Holes that were not measured are assumed, and said to be.
    Without `load` the ties stand on the trade's gauge alone.
    """

    pot: PotShape
    mix: MixOrder
    fill: Fill | None = None
    holes: tuple[Hole, ...] = ()
    base: RootBase = field(default_factory=RootBase)
    tree_height_mm: float | None = None
    reach_mm: float | None = None
    exposed: bool = False
    domed: bool = True
    dressed: bool = True
    pot_material: str = ""
    weighed_g: float | None = None
    ball: KeptBall | None = None
    load: TreeLoad | None = None


@dataclass(frozen=True)
class Potting:
    """The potting arithmetic of one tree in one pot; `why` gives the chain of every figure."""

    pot: PotShape
    recipe: Recipe
    size_class: str
    litres: Litres
    dome: Dome
    surface: Surface
    holes: tuple[Hole, ...]
    holes_assumed: bool
    mesh_mm: tuple[float, ...]
    anchor: Anchoring
    lift: LiftMass
    ball: RootBall
    place: Place
    hints: tuple[Hint, ...]
    tied: TiePlan | None
    traces: Mapping[str, Trace]

    @property
    def volume_cm3(self) -> float:
        """What the pot holds."""
        return self.litres.volume_cm3

    @property
    def refill_cm3(self) -> float:
        """What new mix fills, settled."""
        return self.litres.refill_cm3

    @property
    def gross_cm3(self) -> float:
        """What to make, loose; the dome is part of it."""
        return self.litres.gross_cm3

    @property
    def parts_cm3(self) -> Mapping[str, float]:
        """What to make, by component."""
        return self.litres.parts_cm3

    @property
    def dome_cm3(self) -> float:
        """Mix set aside for the dome; it is part of `gross_cm3`."""
        return self.dome.dome_cm3

    @property
    def hollow_cm3(self) -> float:
        """The hollow under the trunk."""
        return self.dome.hollow_cm3

    @property
    def top_dressing_cm3(self) -> float:
        """Dressing over the whole surface."""
        return self.surface.dressing_cm3

    @property
    def ties(self) -> tuple[Tie, ...]:
        """The tie wires with their lengths."""
        return self.anchor.ties

    @property
    def wire_mm(self) -> float:
        """Tie wire in all."""
        return self.anchor.wire_mm

    @property
    def mass_g(self) -> float:
        """Wet mass to lift."""
        return self.lift.mass_g

    @property
    def people(self) -> int:
        """How many people lift."""
        return self.lift.people

    @property
    def trace(self) -> Trace:
        """All figures under one head."""
        every = tuple(self.traces.values())
        return Trace(_("potting"), shown_litres(self.volume_cm3), ROOM, "", "practice", "practice", every)

    def why(self, figure: str) -> Trace:
        """The chain of one figure, by its name in `traces`."""
        if figure not in self.traces:
            raise unknown_name(_("figure"), figure, self.traces)
        return self.traces[figure]

    def need(self, label: str) -> MixNeed:
        """What this pot adds to a batch."""
        return MixNeed(label, self.recipe, self.gross_cm3, self.litres.grain)


def size_class(volume_cm3: float) -> str:
    """Size class by volume of substrate.

    Parameters
    ----------
    volume_cm3 : float
        Net volume, in cm3.

    Returns
    -------
    str
        XS below half a litre, S to 2, M to 8, L to 25, XL beyond.

    Source
    ------
    practice: size classes by soil volume.

    Examples
    --------
    >>> size_class(9357.0), size_class(425.0)
    ('L', 'XS')
    """
    table = load_table("ringwise.rootzone", "potting")
    return next(size for size in SIZES if volume_cm3 >= table.get("size", size).number)


def potting(job: PotJob) -> Potting:
    """All figures for potting one tree.

    Parameters
    ----------
    job : PotJob
        Destination pot, mix and what is known of holes, root base, height, exposure and weight.

    Returns
    -------
    Potting
        Litres, parts, dome, dressing, mesh, ties and lift, each with its chain.

    Raises
    ------
    RangeError
        If a share or a measure is out of bounds.

    Source
    ------
    practice: substrate arithmetic of the trade; rows in `data/potting.csv` and `data/mixes.csv`.

    Examples
    --------
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("oval", PotLengths(500, 370, 80))
    >>> ready = potting(PotJob(tray, MixOrder(recipe("D"))))
    >>> round(ready.volume_cm3), round(ready.top_dressing_cm3), round(ready.gross_cm3)
    (9357, 726, 6214)
    """
    settled = _settled(job)
    pot, made = settled.pot, settled.litres
    dome = dome_for(job.base, pot.fill_height_mm) if job.domed else no_dome(_("no dome asked for"))
    surface = surface_of(pot, dressed=job.dressed)
    place = place_of(pot)
    tied = _tied(job, settled)
    mesh = tuple(mesh_square_mm(hole.diameter_mm) for hole in settled.holes)
    traces = {
        **made.traces,
        "dome": dome.trace,
        "top_dressing": surface.trace,
        "mesh": _mesh_trace(mesh, measured=bool(job.holes)),
        "wire": settled.anchor.trace,
        "mass": settled.lift.trace,
        "position": place.trace,
        **({} if tied is None else {"pull": tied.held.trace}),
    }
    return Potting(
        pot=pot,
        recipe=job.mix.recipe,
        size_class=settled.size,
        litres=made,
        dome=dome,
        surface=surface,
        holes=settled.holes,
        holes_assumed=not job.holes,
        mesh_mm=mesh,
        anchor=settled.anchor,
        lift=settled.lift,
        ball=settled.ball,
        place=place,
        hints=hints(pot, trunk_mm=job.base.trunk_mm, height_mm=job.tree_height_mm),
        tied=tied,
        traces=traces,
    )


@dataclass(frozen=True)
class _Settled:
    """What the rest stands on: pot as filled, its size and holes, ties, kept ball, mass, litres, cut."""

    pot: PotShape
    size: str
    holes: tuple[Hole, ...]
    anchor: Anchoring
    ball: RootBall
    lift: LiftMass
    litres: Litres
    grain: Grain


def _settled(job: PotJob) -> _Settled:
    pot = job.pot.filled(job.fill or practice_fill(job.pot))
    check_mouth(pot, job.ball)
    size = size_class(pot.volume_cm3)
    holes = job.holes or assumed_holes(pot, size)
    grain = grain_for(pot.fill_height_mm, job.mix.recipe.code)
    made = litres_for(pot, _order(job, pot, grain))
    anchor = anchoring(AnchorNeed(pot, holes, size, job.tree_height_mm, job.exposed, job.reach_mm))
    ball = _ball(job, pot, 1 - made.refill_frac)
    return _Settled(pot, size, holes, anchor, ball, _lift(job, pot, grain), made, grain)


def _order(job: PotJob, pot: PotShape, grain: Grain) -> MixOrder:
    """The order with what mixing loses, and with a measured ball in place of a share."""
    order = replace(job.mix, yield_frac=job.mix.yield_frac * yield_of(job.mix.recipe, grain))
    if job.ball is None or fitting(pot, job.ball).volume_cm3 is None:
        return order
    return replace(order, ball_cm3=job.ball.volume_cm3)


def _lift(job: PotJob, pot: PotShape, grain: Grain) -> LiftMass:
    return lift_mass(
        pot,
        material=job.pot_material,
        trunk_mm=job.base.trunk_mm,
        height_mm=job.tree_height_mm,
        weighed_g=job.weighed_g,
        wet=wet_mix(pot, job.mix.recipe, grain),
    )


def _ball(job: PotJob, pot: PotShape, kept_frac: float) -> RootBall:
    if job.ball is not None and job.ball.sizes is not None:
        return job.ball.sizes
    return assumed_ball(pot, kept_frac)


def _tied(job: PotJob, at: _Settled) -> TiePlan | None:
    if job.load is None:
        return None
    wet = wet_mix(at.pot, job.mix.recipe, at.grain)
    per_l = load_table("ringwise.rootzone", "potting").get("mass", "wet_kg_per_l").number
    # a kilogram a litre is a gram a cubic centimetre
    ball_g = (1 - at.litres.refill_frac) * at.pot.volume_cm3 * (wet.kg_per_l_ratio if wet else per_l)
    return tie_plan(TieTask(at.pot, at.holes, at.anchor, at.ball, ball_g, at.lift.mass_g, job.load))


def _mesh_trace(mesh_mm: tuple[float, ...], *, measured: bool) -> Trace:
    row = load_table("ringwise.rootzone", "potting").get("mesh", "margin_mm")
    holes = Trace(
        _("holes"),
        _("{n} holes").format(n=len(mesh_mm)),
        "record" if measured else ROOM,
        "" if measured else _("usual layout for the size of pot"),
        "" if measured else "own",
        "measured" if measured else "assumed",
    )
    sides = ", ".join(length(side) for side in mesh_mm)
    return Trace(
        _("mesh squares"),
        sides,
        ROOM,
        _("hole + margin"),
        row.source,
        row.basis,
        (holes, trace_parameter(row)),
    )
