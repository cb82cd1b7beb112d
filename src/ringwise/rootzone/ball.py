"""The kept root ball: its volume, and whether it goes into a pot at all."""

from __future__ import annotations

import math
from dataclasses import dataclass

from ringwise.kit.errors import InputError
from ringwise.kit.show import dimensions, length, litres
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.units import in_range
from ringwise.kit.words import _
from ringwise.rootzone.cut import RootBall
from ringwise.rootzone.pot import MM3_PER_CM3, PotShape


@dataclass(frozen=True)
class KeptBall:
    """A root ball as measured: its three sizes, its volume by displacement, or both."""

    sizes: RootBall | None = None
    displaced_cm3: float | None = None

    @property
    def volume_cm3(self) -> float | None:
        """By displacement where that was measured, else as an elliptic cylinder."""
        if self.displaced_cm3 is not None:
            return self.displaced_cm3
        if self.sizes is None:
            return None
        return ellipse_cylinder_cm3(self.sizes.length_mm, self.sizes.width_mm, self.sizes.depth_mm)


def ellipse_cylinder_cm3(length_mm: float, width_mm: float, depth_mm: float) -> float:
    """Volume of a slab with an elliptic plan.

    Parameters
    ----------
    length_mm, width_mm, depth_mm : float
        Its three sizes, in mm.

    Returns
    -------
    float
        Volume, in cm3: pi L W t / 4.

    Source
    ------
    own: solid geometry; displacement of water is better.

    Examples
    --------
    >>> round(ellipse_cylinder_cm3(260.0, 173.0, 48.0))
    1696
    """
    return math.pi / 4 * length_mm * width_mm * depth_mm / MM3_PER_CM3


def fitting(pot: PotShape, ball: KeptBall) -> KeptBall:
    """The ball, if it goes into the pot and comes out of it again.

    Parameters
    ----------
    pot : PotShape
        The pot as filled.
    ball : KeptBall
        The ball.

    Returns
    -------
    KeptBall
        The same.

    Raises
    ------
    InputError
        If it is wider than the pot at rim or floor, thicker than the fill, or larger than it.

    Source
    ------
    own: plain geometry.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("oval", PotLengths(500, 370, 80))
    >>> fitting(tray, KeptBall(RootBall(420.0, 300.0, 90.0)))
    Traceback (most recent call last):
    ...
    ringwise.kit.errors.InputError: the ball is 90 mm thick, the fill 80 mm deep. Thin it, or a deeper pot.
    """
    if ball.sizes is not None:
        _check_sizes(pot, ball.sizes)
    volume_cm3 = ball.volume_cm3
    if volume_cm3 is not None:
        least = _row("ball_cm3").low or 0.0
        in_range(
            volume_cm3,
            least,
            math.inf,
            field=_("volume of the ball"),
            shown=litres(volume_cm3),
            accepted=_("above {least}").format(least=litres(least)),
        )
        if volume_cm3 >= pot.volume_cm3:
            raise InputError(
                _(
                    "the ball holds {ball}, the fill of the pot {pot}: no room for new mix. "
                    "Cut the ball or take a larger pot."
                ).format(ball=litres(volume_cm3), pot=litres(pot.volume_cm3))
            )
    return ball


def _row(parameter: str) -> Parameter:
    return load_table("ringwise.rootzone", "potting").get("accepted", parameter)


def _check_sizes(pot: PotShape, ball: RootBall) -> None:
    low, high = _row("ball_mm").low or 0.0, _row("ball_mm").high or math.inf
    for size_mm in (ball.length_mm, ball.width_mm, ball.depth_mm):
        in_range(
            size_mm,
            low,
            high,
            field=_("size of the ball"),
            shown=length(size_mm),
            accepted=_("{low} to {high}").format(low=length(low), high=length(high)),
        )
    ball_plan = sorted((ball.length_mm, ball.width_mm))
    floor = (pot.bottom_length_mm or pot.length_mm, pot.bottom_width_mm or pot.width_mm)
    for where, plan in ((_("at the rim"), (pot.length_mm, pot.width_mm)), (_("at the floor"), floor)):
        if any(own > room for own, room in zip(ball_plan, sorted(plan), strict=True)):
            raise InputError(
                _("the ball is {ball}, the pot {pot} {where}. Cut the ball or take a larger pot.").format(
                    ball=dimensions((ball.length_mm, ball.width_mm)), pot=dimensions(plan), where=where
                )
            )
    if ball.depth_mm > pot.fill_height_mm:
        raise InputError(
            _("the ball is {ball} thick, the fill {fill} deep. Thin it, or a deeper pot.").format(
                ball=length(ball.depth_mm), fill=length(pot.fill_height_mm)
            )
        )


def check_mouth(pot: PotShape, ball: KeptBall | None) -> None:
    """Refuse a pot that is wider below than at the rim where the ball could not leave it.

    Parameters
    ----------
    pot : PotShape
        The pot.
    ball : KeptBall or None
        The ball, where it was measured.

    Raises
    ------
    InputError
        If the roots would fill the wider floor and be held fast by the rim.

    Source
    ------
    practice: a rooted ball does not pass a narrower mouth.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> check_mouth(pot_shape("rect", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180))), None)
    """
    floor = (pot.bottom_length_mm or 0.0, pot.bottom_width_mm or 0.0)
    rim = (pot.length_mm, pot.width_mm)
    if (ball is not None and ball.sizes is not None) or all(f <= r for f, r in zip(floor, rim, strict=True)):
        return
    raise InputError(
        _(
            "the pot is wider at the bottom ({floor}) than at the rim ({rim}): the ball that fills it cannot "
            "come out. Did you swap --top and --bottom? Else give the ball's size with --ball."
        ).format(floor=dimensions(floor), rim=dimensions(rim))
    )
