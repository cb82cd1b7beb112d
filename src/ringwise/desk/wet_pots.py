"""A pot whose soil lacks air: how much of it, what may be behind it, what helps now and what waits.

Wet soil is a cue to plan by and never a block. What is proposed leaves the roots alone until buds swell.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.pot_curves import PotCurve, pot_curve
from ringwise.desk.shapes import Shape
from ringwise.desk.soil_told import band_shape, band_words, soil_number
from ringwise.kit import show
from ringwise.kit.errors import RingwiseError
from ringwise.kit.ranged import Ranged, ranged
from ringwise.kit.tables import load_table
from ringwise.kit.words import _
from ringwise.season.cues import drain_cue

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts


@dataclass(frozen=True)
class Cause:
    """What may be behind a wet soil. `share` is what it took of the lost air; None where no draw tells.

    `sign` is what in the record points to it; blank for nothing.
    """

    key: str
    words: str
    share: Ranged | None
    sign: str = ""

    @property
    def line(self) -> str:
        """In one line, with how it is known."""
        if self.share is not None:
            span = show.spanned(show.percent(self.share.low), show.percent(self.share.high))
            told = _("{words}: {span} of the lost air, reckoned").format(words=self.words, span=span)
        else:
            told = _("{words} (common practice)").format(words=self.words)
        return f"{told}; {self.sign}" if self.sign else told


@dataclass(frozen=True)
class WetPot:
    """Air in a pot's soil, and where it is short of it what may be behind that and what to do."""

    curve: PotCurve
    depth: Ranged
    signs: tuple[str, ...]
    trouble: bool
    causes: tuple[Cause, ...]
    now: tuple[str, ...]
    later: tuple[str, ...]

    @property
    def wet(self) -> bool:
        """Whether more of the depth lacks air than a pot lives with, and tree or pot show signs of it."""
        return self.trouble and self.much

    @property
    def much(self) -> bool:
        """Whether more of the depth lacks air than a pot lives with, by the middle of the range."""
        return self.depth.median >= _row("wet_depth_frac")

    @property
    def sentence(self) -> str:
        """How much of the soil lacks air, with its range."""
        return _("{depth} of the soil's depth has less than {mark} air once it has drained").format(
            depth=band_words("wet_depth", self.depth), mark=show.percent(_row("floor_v"))
        )

    @property
    def lines(self) -> list[str]:
        """All of it, in lines."""
        found = [self.sentence, *self.signs]
        if self.much and not self.trouble:
            calm = _("Nothing else speaks of trouble: a shallow pot can be as wet as this and live.")
            return [*found, calm]
        if not self.wet:
            return found
        causes = [_("{n}. {cause}").format(n=i, cause=each.line) for i, each in enumerate(self.causes, 1)]
        return [
            *found,
            _("What may be behind it, the likeliest first:"),
            *causes,
            _("Now:"),
            *self.now,
            _("Later:"),
            *self.later,
        ]


def _row(parameter: str) -> float:
    return load_table("ringwise.rootzone", "calibrate").get("air", parameter).number


def wet_pot(facts: TreeFacts, curve: PotCurve) -> WetPot:
    """How much of a pot's soil lacks air, and what follows.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    curve : PotCurve
        Of its pot.

    Returns
    -------
    WetPot
        Its causes are ranked: those with a sign in the record first, then by the air that each has taken.
    """
    depth = soil_number(curve, "wet_depth")
    signs = tuple(_signs(facts, curve))
    trouble = shows_trouble(facts, curve)
    if depth.median < _row("wet_depth_frac") or not trouble:
        return WetPot(curve, depth, signs, trouble, (), (), ())
    causes, now, later = _causes(facts, curve), _now(curve), _later(facts)
    return WetPot(curve, depth, signs, trouble, tuple(causes), tuple(now), tuple(later))


def shows_trouble(facts: TreeFacts, curve: PotCurve) -> bool:
    """Whether the tree is weak, or its pot drains slowly or more slowly than it did.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    curve : PotCurve
        Of its pot.

    Returns
    -------
    bool
        A shallow pot can be wet below and live; only with such a sign it is told of.
    """
    cues = load_table("ringwise.season", "cues")
    if facts.vigour is not None and facts.vigour <= cues.get("weak", "vigour_score").number:
        return True
    return drain_cue(facts) is not None or (curve.trend is not None and curve.trend.slower)


def _signs(facts: TreeFacts, curve: PotCurve) -> list[str]:
    """What was seen, each compared with this pot alone."""
    found = []
    if curve.trend is not None:
        found.append(_("Drain test of this pot: {trend}").format(trend=curve.trend.words))
    elif facts.drain_seconds is not None:
        found.append(
            _("Drain test: {seconds} s; no other of this pot since it was filled to compare it with").format(
                seconds=show.number(facts.drain_seconds, 3)
            )
        )
    lost = _day_drop(curve)
    if lost is not None:
        found.append(
            _(
                "A day after watering it had lost {lost}; from its mix {low} to {high} were to be expected"
            ).format(lost=show.mass(lost[0]), low=show.mass(lost[1].low), high=show.mass(lost[1].high))
        )
    return found


def _day_drop(curve: PotCurve) -> tuple[float, Ranged] | None:
    """What the newest session lost in a day, and what was foretold."""
    fit = curve.soil.fit
    drops = [] if fit is None else [each for each in fit.drops if each.moment == "day"]
    return (drops[-1].measured_g, drops[-1].before) if drops else None


def _causes(facts: TreeFacts, curve: PotCurve) -> list[Cause]:
    fines = curve.lost_air.fines_frac
    drawn = [
        Cause("fines", _("granules crumbled to fines"), ranged(fines)),
        Cause("roots", _("roots that fill the voids"), ranged(1.0 - fines)),
    ]
    drawn.sort(key=lambda each: -(each.share.median if each.share is not None else 0.0))
    if float(ranged(curve.lost_air.lost_v).median) < _row("little_v"):
        drawn = []  # the mix was as wet when it was new
    lost = _day_drop(curve)
    dripping = lost is not None and lost[0] > lost[1].high
    mesh = Cause(
        "mesh",
        _("holes or mesh closed by roots or silt"),
        None,
        _("it went on losing water long after watering") if dripping else "",
    )
    core = Cause("core", _("a core of old, finer soil left in the ball"), None, _core_sign(facts, curve))
    signed = [each for each in (mesh, core, *_mix_cause(curve)) if each.sign]
    return [*signed, *drawn, *(each for each in (mesh, core) if not each.sign)]


def _mix_cause(curve: PotCurve) -> list[Cause]:
    """The mix itself, where it would be as wet fresh from the sieve."""
    from ringwise.rootzone.soil_air import wet_depth_frac

    fresh = ranged(wet_depth_frac(curve.pot, curve.soil.blend_at(0.0).curve))
    if fresh.median < _row("wet_depth_frac"):
        return []
    sign = _("fresh from the sieve {depth} of its depth would lack air").format(
        depth=band_words("wet_depth", fresh)
    )
    return [Cause("mix", _("a mix too fine for a pot this shallow"), None, sign)]


def _core_sign(facts: TreeFacts, curve: PotCurve) -> str:
    """Whether the pot drained slowly, or the tree weakened, soon after it was repotted."""
    filled = None if facts.last_repot is None else facts.last_repot.middle or facts.last_repot.by
    if filled is None:
        return ""
    slow_s = load_table("ringwise.season", "cues").get("drain", "slow_s").number
    for each in facts.entries:
        seen = each.on.by
        if seen is None or not 0 <= (seen - filled).days <= _row("soon_days"):
            continue
        if each.kind == "drain" and float(str(each.data["seconds"])) >= slow_s:
            return _("it drained slowly soon after the repotting")
    return ""


def _now(curve: PotCurve) -> list[str]:
    from ringwise.rootzone.soil_air import tilt_lets_out_cm3, wet_soil_frac

    tilt_deg = _row("tilt_deg")
    out = ranged(tilt_lets_out_cm3(curve.pot, curve.curve, tilt_deg))
    left = ranged(wet_soil_frac(curve.pot, curve.curve, tilt_deg=tilt_deg))
    return [
        _(
            "Tilt the pot along its length by {angle} degrees after each watering until nothing drips: about "
            "{out} run out, and {left} of the soil then lacks air."
        ).format(
            angle=show.number(tilt_deg),
            out=f"{show.litres(out.median)} ({show.spanned(show.litres(out.low), show.litres(out.high))})",
            left=band_words("wet_depth", left),
        ),
        _("Keep rain off it with a roof, and water by weight or a skewer at half depth, not by habit."),
        _("Scrape the crust off the surface lightly, no deeper than the first roots."),
        _("Look at the holes from below and open what is closed with a thin stick."),
    ]


def _later(facts: TreeFacts) -> list[str]:
    return [
        _(
            "Look at the roots at the next bud swell (ringwise outlook {tree}): a skewer to the bottom at "
            "three places, then the outside of the ball. A sour smell or brown roots that slip ask for a "
            "root rescue then; firm pale roots ask for none."
        ).format(tree=facts.tree.id),
        _("Until then the roots stay as they are."),
        _("Weigh it again a day after watering: each weighing narrows this range."),
    ]


def wet_shape(told: WetPot) -> Shape:
    """Air in a pot's soil for JSON.

    Parameters
    ----------
    told : WetPot
        Of a pot.

    Returns
    -------
    dict
        Keys wet, line, wet_depth, observed, causes, do_now, do_later.
    """
    return {
        "wet": told.wet,
        "line": told.sentence,
        "wet_depth": band_shape("wet_depth", told.depth),
        "observed": list(told.signs),
        "causes": [
            {
                "key": each.key,
                "line": each.line,
                "of_lost_air": None if each.share is None else band_shape("wet_depth", each.share),
                "sign": each.sign,
            }
            for each in told.causes
        ],
        "do_now": list(told.now),
        "do_later": list(told.later),
    }


def wet_notes(workspace: Workspace) -> dict[str, str]:
    """Trees whose weighed pots lack air, each in one sentence.

    Parameters
    ----------
    workspace : Workspace
        The collection.

    Returns
    -------
    dict of str to str
        By tree; only pots that were measured themselves are told of, so that nothing is a guess from a mix.
    """
    return workspace.once("wet_notes", lambda: _notes(workspace))


def _notes(workspace: Workspace) -> dict[str, str]:
    notes = {tree: _note(workspace, facts) for tree, facts in workspace.facts.items()}
    return {tree: said for tree, said in notes.items() if said}


def _note(workspace: Workspace, facts: TreeFacts) -> str:
    if not any(each.kind == "weight" for each in facts.entries):
        return ""
    try:
        curve = pot_curve(workspace, facts)
    except RingwiseError:  # no measured pot
        return ""
    if not curve.weighed or not curve.record.weighings:
        return ""
    told = wet_pot(facts, curve)
    if not told.wet:
        return ""
    return _("{air}: tilt it and keep rain off (ringwise weigh {tree})").format(
        air=told.sentence, tree=facts.tree.id
    )
