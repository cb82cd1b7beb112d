"""Ties on the worksheet: the wire to cut with its pull and margin, what to try first, how to tighten."""

from __future__ import annotations

from collections import Counter

from ringwise.kit.show import length, number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.words import _, counted
from ringwise.rootzone.potting import Potting
from ringwise.rootzone.tie_plan import TiePlan
from ringwise.season.worksheet_content import Cut


def _row(parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "wire").get("tie", parameter)


def wire_words(potting: Potting) -> str:
    """Material and gauge of the ties, with pull and margin where the tree was measured.

    Parameters
    ----------
    potting : Potting
        The arithmetic.

    Returns
    -------
    str
        Such as "aluminium 2.5 to 3 mm".

    Source
    ------
    practice: gauge by size of pot; the pull is reckoned where the tree has a height.

    Examples
    --------
    >>> from ringwise.rootzone.litres import MixOrder
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.potting import PotJob, potting
    >>> wire_words(potting(PotJob(pot_shape("oval", PotLengths(500, 370, 80)), MixOrder(recipe("D")))))
    'aluminium 2.5 to 3 mm'
    """
    tied = potting.tied
    if tied is None:
        return _("aluminium {gauge}").format(gauge=potting.anchor.gauge)
    if tied.wire is None:
        return _("no wire in the table holds")
    if tied.wire.margin_factor is None:
        return _("{wire}, the ball's weight holds").format(wire=tied.wire.words)
    return _("{wire}, pull {pull} N, margin {margin}").format(
        wire=tied.wire.words,
        pull=number(tied.held.tension_n, 2),
        margin=number(tied.wire.margin_factor, 2),
    )


def tie_cuts(potting: Potting) -> list[Cut]:
    """The tie wires to cut, by length.

    Parameters
    ----------
    potting : Potting
        The arithmetic.

    Returns
    -------
    list of Cut
        The last one names the total.

    Source
    ------
    practice: cut before the roots are exposed.

    Examples
    --------
    >>> from ringwise.rootzone.litres import MixOrder
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.potting import PotJob, potting
    >>> cuts = tie_cuts(potting(PotJob(pot_shape("oval", PotLengths(500, 370, 80)), MixOrder(recipe("D")))))
    >>> [(cut.count, cut.size) for cut in cuts]
    [(4, '91 cm')]
    """
    wire = wire_words(potting)
    total = _("{total} in all").format(total=length(potting.wire_mm))
    ties = sorted(Counter(tie.length_mm for tie in potting.ties).items())
    return [
        Cut(
            count,
            _("tie wire"),
            length(wire_mm),
            f"{wire}, {total}" if i == len(ties) else wire,
            potting.why("wire"),
        )
        for i, (wire_mm, count) in enumerate(ties, 1)
    ]


def mesh_cuts(potting: Potting) -> list[Cut]:
    """The mesh squares to cut and the wire of their clips.

    Parameters
    ----------
    potting : Potting
        The arithmetic.

    Returns
    -------
    list of Cut
        By size.

    Source
    ------
    practice: openings below the smallest grain that is kept; a wire clip each.

    Examples
    --------
    >>> from ringwise.rootzone.litres import MixOrder
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.potting import PotJob, potting
    >>> cuts = mesh_cuts(potting(PotJob(pot_shape("oval", PotLengths(500, 370, 80)), MixOrder(recipe("D")))))
    >>> [(cut.count, cut.size, cut.remark) for cut in cuts]
    [(2, '65 mm', 'openings under 3 mm; a wire clip of 85 mm for each')]
    """
    clip_mm = load_table("ringwise.rootzone", "potting").get("mesh", "clip_mm").number
    margin_mm = load_table("ringwise.rootzone", "potting").get("mesh", "margin_mm").number
    least = length(potting.litres.grain.from_mm)
    text = _("openings under {least}; a wire clip of {clip} for each")
    return [
        Cut(
            count,
            _("mesh square"),
            length(side),
            text.format(least=least, clip=length(side - margin_mm + clip_mm)),
            potting.why("mesh"),
        )
        for side, count in sorted(Counter(potting.mesh_mm).items())
    ]


def tie_notes(potting: Potting) -> list[str]:
    """What the pull stands on, what to try before thick wire, and how to tighten.

    Parameters
    ----------
    potting : Potting
        The arithmetic.

    Returns
    -------
    list of str
        Short lines; only how to tighten where nothing was measured.

    Source
    ------
    practice: more legs, a bar, shelter, copper, in this order; tighten until the ball stops moving.

    Examples
    --------
    >>> from ringwise.rootzone.litres import MixOrder
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.potting import PotJob, potting
    >>> tie_notes(potting(PotJob(pot_shape("oval", PotLengths(500, 370, 80)), MixOrder(recipe("D")))))[0]
    'Tighten until the ball stops moving, then stop; pad each root under a wire, 5 mm wide or more.'
    """
    notes = []
    if potting.ties:
        notes.append(
            _(
                "Tighten until the ball stops moving, then stop; pad each root under a wire, {pad} wide or "
                "more."
            ).format(pad=length(_row("pad_mm").number))
        )
    if potting.tied is None:
        return notes
    notes.append(_pull_words(potting.tied))
    if potting.tied.on_ladder:
        steps = "; ".join(rung.words for rung in potting.tied.rungs)
        notes.append(
            _("Aluminium up to 3 mm does not hold. First, in this order: {steps}.").format(steps=steps)
        )
    elif not potting.tied.holds_high:
        notes.append(_high_words(potting.tied))
    if potting.tied.limits.tip_m_s < potting.tied.load.gust_m_s:
        notes.append(
            _("The whole pot tips at gusts of {tip} m/s: lash it to the bench.").format(
                tip=number(potting.tied.limits.tip_m_s, 2)
            )
        )
    return notes


def _high_words(tied: TiePlan) -> str:
    if tied.high_wire is None:
        return _("At the upper end of the outline no wire in the table holds: shelter it from wind.")
    return _("At the upper end of the outline it takes {wire}: measure the spread, or use more legs.").format(
        wire=tied.high_wire.words
    )


def _pull_words(tied: TiePlan) -> str:
    held = tied.held
    begin = _(
        "Gusts of {gust} m/s on an {outline}, drag carried over from larger trees: wind {wind} N m."
    ).format(gust=number(tied.load.gust_m_s, 2), outline=tied.load.words, wind=number(held.moment_nm, 2))
    if held.is_held_by_weight:
        rest = _("The ball's weight holds {ball} N m; the ties keep it from stirring.").format(
            ball=number(held.held_nm, 2)
        )
    else:
        rest = _(
            "The ball's weight holds {ball} N m; the rest on {legs}, times {safety}, each at half its yield "
            "load."
        ).format(
            ball=number(held.held_nm, 2),
            legs=counted("{n} windward leg", "{n} windward legs", held.legs),
            safety=number(held.safety_factor, 2),
        )
    return f"{begin} {rest}"


def hint_notes(potting: Potting) -> list[str]:
    """Proportions of pot to tree that lie outside what is usual, as common practice.

    Parameters
    ----------
    potting : Potting
        The arithmetic.

    Returns
    -------
    list of str
        One line; empty where all lie inside or nothing was measured.

    Source
    ------
    practice: proportions of the trade.

    Examples
    --------
    >>> from ringwise.rootzone.litres import MixOrder
    >>> from ringwise.rootzone.mix import recipe
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> from ringwise.rootzone.potting import PotJob, potting
    >>> hint_notes(potting(PotJob(pot_shape("oval", PotLengths(500, 370, 80)), MixOrder(recipe("D")))))
    []
    """
    outside = [hint.words for hint in potting.hints if hint.outside]
    return [_("Common practice: {hints}.").format(hints="; ".join(outside))] if outside else []
