"""The wish for wounds: how many pruning cuts of a kind have closed after so many years."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, out_of_range
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _, counted

_MOST_SPANS = 50  # years asked for in one go


@dataclass(frozen=True)
class WoundsWish:
    """What was typed for `ringwise calc wounds`; ranges are such as "6:45", bare numbers mm."""

    count: int
    width: str
    growth: str
    years: str
    season: str = "spring"
    stub: str = "0mm"
    seed: int = 1


def calc_wounds(wish: WoundsWish) -> Shape:
    """Closed share of a population of pruning wounds.

    Parameters
    ----------
    wish : WoundsWish
        What was typed.

    Returns
    -------
    dict
        Keys closed_share (by year), count, season, seed, the ranges and lines.

    Raises
    ------
    InputError
        One clear line for what does not read or fit.

    Examples
    --------
    >>> told = calc_wounds(WoundsWish(2000, "6:45", "6:14", "1,5"))
    >>> told["closed_share"]["1"] < told["closed_share"]["5"]
    True
    """
    from ringwise.growth.wound_population import WoundRanges, closed_share

    if wish.seed < 0:
        raise out_of_range("--seed", str(wish.seed), _("0 or more"))
    width, growth = _range(wish.width, "--width-mm"), _range(wish.growth, "--diameter-growth-mm")
    years = _years(wish.years)
    stub_mm = parse_quantity(wish.stub, "length", field="--stub", default_unit="mm")
    ranges = WoundRanges(width, growth, wish.season, stub_mm)
    shares = closed_share(wish.count, ranges, years, seed=wish.seed)
    answer: Shape = {
        "closed_share": {str(year): share for year, share in shares.items()},
        "count": wish.count,
        "season": wish.season,
        "width_range_mm": list(width),
        "growth_range_mm_year": list(growth),
        "stub_mm": stub_mm,
        "seed": wish.seed,
    }
    return answer | {"lines": _lines(wish, shares)}


def _range(text: str, field: str) -> tuple[float, float]:
    """Both ends of "low:high"; one number is both."""
    parts = text.split(":")
    if len(parts) > 2:
        raise InputError(
            _('{field} is "{text}"; write a range such as 6:45, or one number.').format(
                field=field, text=text
            )
        )
    ends = [parse_quantity(part, "length", field=field, default_unit="mm") for part in parts]
    return ends[0], ends[-1]


def _years(text: str) -> tuple[int, ...]:
    parts = [part.strip() for part in text.split(",")]
    if len(parts) > _MOST_SPANS or not all(part.isascii() and part.isdigit() for part in parts):
        raise InputError(
            _('--years is "{text}"; write whole years divided by commas, such as 1,3,5.').format(text=text)
        )
    return tuple(dict.fromkeys(int(part) for part in parts))


def _lines(wish: WoundsWish, shares: dict[int, float]) -> list[str]:
    lines = [
        _("{when}: {share} % closed").format(
            when=counted("after {n} year", "after {n} years", year), share=show.number(100 * share, 3)
        )
        for year, share in shares.items()
    ]
    lines.append(
        _("{count} wounds of {width} mm, wood beside them growing {growth} mm a year in diameter").format(
            count=wish.count, width=wish.width.replace(":", "-"), growth=wish.growth.replace(":", "-")
        )
    )
    lines.append(
        _(
            "How far a mm of growth closes a wound is drawn for each one, about what was seen in sweet "
            "cherry; the order of the seasons is from print, their size is assumed."
        )
    )
    return lines
