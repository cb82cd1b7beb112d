"""Parts of a mix as typed: pumice=2,lava=1. One reading for every command that takes a mix."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING

from ringwise.kit.errors import InputError, MissingFieldError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.rootzone.components import Component

_MOST_PARTS = 20  # no mix has more


def typed_parts(text: str, own: Mapping[str, Component] | None = None) -> dict[str, float]:
    """Parts of a mix as typed.

    Parameters
    ----------
    text : str
        Such as "akadama=2,pumice=1"; percent are parts too.
    own : mapping of str to Component, optional
        The grower's own components.

    Returns
    -------
    dict of str to float
        By key of the component; a component named twice has the sum.

    Raises
    ------
    InputError
        If a part does not read.
    UnknownNameError
        If a component is not known.

    Examples
    --------
    >>> typed_parts("clay granule=2,pumice=1")
    {'akadama': 2.0, 'pumice': 1.0}
    >>> typed_parts("akadama=50%,pumice=50%")
    {'akadama': 50.0, 'pumice': 50.0}
    """
    from ringwise.rootzone.components import component

    items = [item.strip() for item in text.split(",")]
    if len(items) > _MOST_PARTS:
        raise InputError(_("the mix has {n} parts; {most} at most.").format(n=len(items), most=_MOST_PARTS))
    parts: dict[str, float] = {}
    for item in items:
        name, _mark, share = (each.strip() for each in item.partition("="))
        if not name or not share:
            raise MissingFieldError(
                _('the mix has a part "{text}"; write component=parts, such as pumice=2').format(text=item)
            )
        key = component(name, own).key
        parts[key] = parts.get(key, 0.0) + _number(name, share)
    return parts


def _number(name: str, share: str) -> float:
    try:
        value = float(share.removesuffix("%"))
    except ValueError:
        value = math.nan
    if not math.isfinite(value):
        raise InputError(
            _('parts of {name} is "{text}", which is no number. Write component=parts: pumice=2').format(
                name=name, text=share
            )
        )
    return value
