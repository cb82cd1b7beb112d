"""Balances that close, or raise with their terms."""

from __future__ import annotations

from collections.abc import Mapping

from ringwise.kit.errors import BalanceError

TOLERANCE = 1e-6  # relative to the largest term; float64 sums of a day's terms stay far below it


def close(
    what: str, *, change: float, gains: Mapping[str, float], losses: Mapping[str, float], where: str = ""
) -> None:
    """Check that change = gains - losses.

    Parameters
    ----------
    what : str
        What is balanced, with its unit ("water_cm3").
    change : float
        Final minus initial store.
    gains, losses : mapping of str to float
        Named terms, all in one unit.
    where : str
        Pot, tree or day.

    Raises
    ------
    BalanceError
        If the residual exceeds a millionth of the largest term; the message holds every term.

    Examples
    --------
    >>> close("water_cm3", change=2.0, gains={"rain": 5.0}, losses={"drained": 3.0})
    """
    residual = change - sum(gains.values()) + sum(losses.values())
    largest = max([abs(change), *map(abs, gains.values()), *map(abs, losses.values()), 1e-12])
    if not abs(residual) <= TOLERANCE * largest:  # so that a missing number does not pass
        terms = ", ".join(
            [f"{k} +{v:.6g}" for k, v in gains.items()] + [f"{k} -{v:.6g}" for k, v in losses.items()]
        )
        raise BalanceError(
            f"{what} does not close: change {change:.6g}, {terms}, residual {residual:.3g}", where=where
        )
