"""The wish for packing: what grains of several sizes fill together, and the volume lost on mixing."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.desk.shapes import Shape
from ringwise.kit import show
from ringwise.kit.errors import InputError, MissingFieldError
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _

_MOST_PARTS = 20  # no mix has more


@dataclass(frozen=True)
class PackingWish:
    """What was typed for `ringwise calc packing`: lists divided by commas, and the index."""

    volumes: str
    sizes: str
    alone: str
    index: float | None = None


def _items(text: str, field: str) -> list[str]:
    items = [item.strip() for item in text.split(",")]
    if not all(items):
        raise MissingFieldError(
            _('{field} is "{text}"; write values divided by commas, such as "1,1".').format(
                field=field, text=text
            )
        )
    if len(items) > _MOST_PARTS:
        raise InputError(
            _("{field} has {n} values; {most} at most.").format(field=field, n=len(items), most=_MOST_PARTS)
        )
    return items


def _volumes(text: str) -> list[float]:
    items = _items(text, "--volumes")
    return [parse_quantity(item, "volume", field="--volumes", default_unit="L") for item in items]


def calc_packing(wish: PackingWish) -> Shape:
    """Packing fraction and yield of loose volumes of grains.

    Parameters
    ----------
    wish : PackingWish
        What was typed.

    Returns
    -------
    dict
        Keys packing_fraction, yield, parts and lines.

    Raises
    ------
    InputError
        If a list does not read or the lists do not match.

    Examples
    --------
    >>> round(calc_packing(PackingWish("1,1", "6mm,3mm", ".6,.6"))["yield"], 4)
    0.9319
    """
    from ringwise.rootzone.packing import packed

    volumes = _volumes(wish.volumes)
    sizes = [
        parse_quantity(item, "length", field="--sizes", default_unit="mm")
        for item in _items(wish.sizes, "--sizes")
    ]
    alone = [
        parse_quantity(item, "fraction", field="--alone", default_unit="")
        for item in _items(wish.alone, "--alone")
    ]
    fraction, kept = packed(volumes, sizes, alone, wish.index)
    parts = [
        {"volume_l": v / 1000, "size_mm": s, "alone_frac": a}
        for v, s, a in zip(volumes, sizes, alone, strict=True)
    ]
    told = [
        _("grains fill {share} of the mix").format(share=show.number(fraction, 4)),
        _("the mix keeps {kept} of the volumes that go in, {lost} % is lost").format(
            kept=show.number(kept, 4), lost=show.number(100 * max(0.0, 1 - kept), 2)
        ),
        _("Settling on the first watering comes on top."),
    ]
    return {"packing_fraction": fraction, "yield": kept, "parts": parts, "lines": told}
