"""When an operation is done on a species: spans of bud and leaf states, species before genus before group."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from ringwise.kit.errors import ParameterError
from ringwise.kit.tables import load_rows
from ringwise.kit.trace import Trace
from ringwise.kit.words import _, from_data
from ringwise.operations.base import StageSpan

if TYPE_CHECKING:
    from ringwise.operations.base import Operation

ROOM = "ringwise.operations"


def _span(row: dict[str, str]) -> StageSpan:
    return StageSpan(
        operation=row["operation"],
        key=row["key"],
        opens=row["opens"],
        closes=row["closes"],
        hard_closes=row["hard_closes"],
        lead_weeks=float(row["lead_weeks"] or 0),
        before_frost_weeks=float(row["before_frost_weeks"]) if row["before_frost_weeks"] else None,
        sign=row["sign"],
        closes_by=row["closes_by"],
        note=row["note"],
        basis=row["basis"],
        source=row["source"],
        read=row["read"] == "yes",
    )


@lru_cache(maxsize=1)
def timing_rows() -> dict[tuple[str, str], tuple[StageSpan, ...]]:
    """All spans of the timing table, by operation and key, in the order of choice.

    Returns
    -------
    dict of (str, str) to tuple of StageSpan
        The key is a species, a genus or a group.

    Source
    ------
    practice: the trade's timing by bud and leaf state.

    Examples
    --------
    >>> [span.opens for span in timing_rows()[("repot", "larix")]]
    ['01']
    """
    table: dict[tuple[str, str], tuple[StageSpan, ...]] = {}
    for row in load_rows(ROOM, "timing"):
        span = _span(row)
        table[(span.operation, span.key)] = (*table.get((span.operation, span.key), ()), span)
    return table


def spans(operation: Operation, keys: tuple[str, ...]) -> tuple[StageSpan, ...]:
    """The spans of an operation for a species, from the first of its keys that has any.

    Parameters
    ----------
    operation : Operation
        From the registry.
    keys : tuple of str
        Species, genus, group, "any", as `records.taxa.lookup_keys` gives them.

    Returns
    -------
    tuple of StageSpan
        First the usual span, then alternates; a span that is not `done` says the work is not done here.

    Raises
    ------
    ParameterError
        If no key has a row.

    Source
    ------
    practice: the trade's timing by bud and leaf state.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS
    >>> [(s.opens, s.closes) for s in spans(OPERATIONS["repot"], ("acer_palmatum", "acer", "G2", "any"))]
    [('01', '07')]
    """
    for key in keys:
        if key.casefold() in operation.spans:
            return operation.spans[key.casefold()]
        if key in operation.spans:
            return operation.spans[key]
    raise ParameterError(f"operation {operation.key} has no timing for any of {', '.join(keys)}")


def _span_words(span: StageSpan) -> str:
    if not span.done:
        return _("not done")
    return _("{low} to {high}").format(low=span.opens or _("sign"), high=span.closes or _("sign"))


def span_trace(span: StageSpan) -> Trace:
    """The row of the timing table that a span came from, as a link of the "why" chain.

    Parameters
    ----------
    span : StageSpan
        From `spans`.

    Returns
    -------
    Trace
        With table row, basis and source.

    Source
    ------
    own: own reasoning.

    Examples
    --------
    >>> span_trace(timing_rows()[("repot", "larix")][0]).value
    '01 to 03'
    """
    return Trace(
        label=_("timing of {operation}").format(operation=span.operation),
        value=_span_words(span),
        room=f"row {span.operation}.{span.key} of timing",
        formula=from_data(span.sign or span.note),
        source=span.source,
        basis=span.basis,
    )
