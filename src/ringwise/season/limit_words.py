"""Rows of limits and of what is looked at after a work, in words for a chain."""

from __future__ import annotations

from ringwise.kit.tables import Parameter
from ringwise.kit.trace import Trace, trace_parameter
from ringwise.kit.words import _
from ringwise.phenology.stages import stage


def limit_trace(row: Parameter) -> Trace:
    """A row as the last link of a chain, with a label in words.

    Parameters
    ----------
    row : Parameter
        Of the tables of frost limits, risks and cues, or of the pot's core.

    Returns
    -------
    Trace
        With table, basis and source.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.season.frost_limits import cut_root_limits
    >>> limit_trace(cut_root_limits()[0].rows[0]).label
    'cut roots: carry in below'
    """
    return trace_parameter(row, limit_words(row))


def limit_words(row: Parameter) -> str:
    """What a row says, in words; blank where there are none.

    Parameters
    ----------
    row : Parameter
        Of a limit.

    Returns
    -------
    str
        In the reader's language.

    Source
    ------
    own.

    Examples
    --------
    >>> from ringwise.season.frost_limits import bud_limits
    >>> limit_words(bud_limits(("malus",))[0].rows[1])
    'nine tenths of the flower buds killed, from "buds fully swollen, scales apart, no green" on'
    """
    part, _dot, rest = row.parameter.partition(".")
    if part == "bud":
        code, _dot, share = rest.partition(".")
        words = _('a tenth of the flower buds killed, from "{stage}" on')
        if share == "kill90_degC":
            words = _('nine tenths of the flower buds killed, from "{stage}" on')
        return words.format(stage=stage(code).words)
    names = {
        "root.cut_degC": _("cut roots: carry in below"),
        "root.cut_alarm_degC": _("cut roots: hard alarm below"),
        "root.kill_degC": _("cold that kills grown roots"),
        "root.settled_degC": _("grown roots of a kind whose limit was not read"),
        "root.margin_degC": _("margin above it for roots"),
        "leaf.kill50_degC": _("cold that kills half of the young leaves"),
        "leaf.margin_degC": _("margin above it for young leaves"),
        "share_pct": _("share of the weather years that decides"),
        "nights": _("nights looked at after the work"),
        "at_degC": _("a day counts as hot above"),
        "at_m_s": _("a day counts as windy above"),
        "slow_degC": _("roots stop growing above"),
        "act_degC": _("at the sunny pot wall: act above"),
        "injury_degC": _("at the sunny pot wall: roots are injured above"),
    }
    return names.get(row.parameter, "")
