"""An operation in the reader's language: the catalogue itself stays as its files have it."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ringwise.kit.words import from_data
from ringwise.operations.base import Found, Hazard, Kit, Operation, Step


def _each(texts: Iterable[str]) -> tuple[str, ...]:
    return tuple(from_data(text) for text in texts)


def _step(step: Step) -> Step:
    return replace(step, text=from_data(step.text), needs=_each(step.needs))


def spoken_hazard(hazard: Hazard) -> Hazard:
    """A caution in the reader's language.

    Parameters
    ----------
    hazard : Hazard
        As the catalogue or the table of hazards has it.

    Returns
    -------
    Hazard
        With the same authority.

    Source
    ------
    own: wording.

    Examples
    --------
    >>> spoken_hazard(Hazard("Thorns.", "person", "practice")).text
    'Thorns.'
    """
    return replace(hazard, text=from_data(hazard.text))


def spoken(operation: Operation) -> Operation:
    """An operation with every text that people read in their language; to show, not to compute with.

    Parameters
    ----------
    operation : Operation
        From the registry.

    Returns
    -------
    Operation
        Keys, codes, times and spans as they were; the signs of spans are put into words by a window.

    Source
    ------
    own: wording.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS
    >>> spoken(OPERATIONS["wire"]).name
    'Wire'
    """
    kit = operation.kit
    return replace(
        operation,
        name=from_data(operation.name),
        noun=from_data(operation.noun),
        why=from_data(operation.why),
        preconditions=_each(operation.preconditions),
        not_when=_each(operation.not_when),
        steps=tuple(_step(step) for step in operation.steps),
        kit=Kit(_each(kit.roots), _each(kit.branches), _each(kit.materials)),
        checks=_each(operation.checks),
        found=tuple(Found(from_data(each.what), _each(each.do)) for each in operation.found),
        aftercare=tuple(replace(each, do=from_data(each.do)) for each in operation.aftercare),
        judge=from_data(operation.judge),
        risk=from_data(operation.risk),
        hazards=tuple(spoken_hazard(each) for each in operation.hazards),
        record=_each(operation.record),
    )
