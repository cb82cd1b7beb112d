"""The curve of a mix as typed: its numbers, its pore systems, one component, or parts of several."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.mix_parts import typed_parts
from ringwise.kit.errors import InputError, MissingFieldError, at_field
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.rootzone.retention import RetentionCurve

DRAWS = 200  # of what is not known well, for the band
_SEED = 1
_MOST_SYSTEMS = 5


@dataclass(frozen=True)
class CurveWish:
    """What was typed: tr, ts with alpha and n or with modes "share,alpha,n"; or a substrate; or a mix."""

    tr: str | None = None
    ts: str | None = None
    alpha: str | None = None
    n: str | None = None
    modes: tuple[str, ...] = ()
    substrate: str | None = None
    mix: str | None = None


@dataclass(frozen=True)
class NamedCurve:
    """A curve, its draws where it comes from a table, what it is called, its conductivity where known."""

    curve: RetentionCurve
    drawn: RetentionCurve | None
    name: str
    ks_cm_s: float | None = None


def read_curve(wish: CurveWish) -> NamedCurve:
    """The curve that a wish names, checked.

    Parameters
    ----------
    wish : CurveWish
        What was typed.

    Returns
    -------
    NamedCurve
        With 200 draws where a substrate or a mix was named.

    Raises
    ------
    InputError
        If nothing or more than one kind was given, or a number does not read.

    Examples
    --------
    >>> read_curve(CurveWish("0.045", "43 %", "0.145", "2.68")).curve.saturated_v.tolist()
    0.43
    """
    numbers = any((wish.tr, wish.ts, wish.alpha, wish.n, wish.modes))
    given = [numbers, bool(wish.substrate), bool(wish.mix)]
    if sum(given) != 1:
        raise InputError(
            _("give the curve once: --tr, --ts, --alpha and --n, or --mode, or --substrate, or --mix.")
        )
    if wish.substrate:
        return _named(f"{wish.substrate}=1", wish.substrate)
    return _named(wish.mix, "") if wish.mix else _typed(wish)


def _typed(wish: CurveWish) -> NamedCurve:
    from ringwise.rootzone.retention import curve

    if wish.ts is None:
        raise MissingFieldError(_("--ts is missing. Give the water content at saturation, such as 0.43."))
    with at_field("tr"):
        residual = parse_quantity(wish.tr or "0", "fraction", field="--tr", default_unit="")
    with at_field("ts"):
        saturated = parse_quantity(wish.ts, "fraction", field="--ts", default_unit="")
    if wish.modes:
        if wish.alpha or wish.n:
            raise InputError(_("give --mode or --alpha with --n, not both."))
        if len(wish.modes) > _MOST_SYSTEMS:
            raise InputError(_("give {n} pore systems at most.").format(n=_MOST_SYSTEMS))
        modes = [_mode(text) for text in wish.modes]
    elif wish.alpha is None or wish.n is None:
        raise MissingFieldError(_("--alpha and --n are both needed, or --mode share,alpha,n."))
    else:
        modes = [(1.0, _plain(wish.alpha, "--alpha"), _plain(wish.n, "--n"))]
    return NamedCurve(curve(residual, saturated, modes), None, "")


def _mode(text: str) -> tuple[float, float, float]:
    parts = [part.strip() for part in text.split(",")]
    if len(parts) != 3:
        raise InputError(
            _('--mode is "{text}"; write share,alpha,n with alpha per cm, such as 0.6,0.5,3.').format(
                text=text
            )
        )
    share = parse_quantity(parts[0], "fraction", field="--mode", default_unit="")
    return share, _plain(parts[1], "--mode"), _plain(parts[2], "--mode")


def _plain(text: str, field: str) -> float:
    try:
        value = float(text)
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError(
            _('{field} is "{text}", which is no number. Write it bare; alpha is per cm.').format(
                field=field, text=text
            )
        )
    return value


def _named(text: str, substrate: str) -> NamedCurve:
    """A substrate or a mix, with draws; parts as "akadama=2,pumice=1", or the code of a recipe."""
    from ringwise.rootzone.blend import blend
    from ringwise.rootzone.components import component
    from ringwise.rootzone.mix import own_recipe, recipe

    if substrate:
        component(substrate)
    mixed = own_recipe(substrate or text, typed_parts(text)) if "=" in text else recipe(text)
    ks = component(substrate).ks_cm_s if substrate else None
    return NamedCurve(
        blend(mixed).curve,
        blend(mixed, draws=DRAWS, seed=_SEED).curve,
        substrate or mixed.words,
        None if ks is None else ks.value,
    )
