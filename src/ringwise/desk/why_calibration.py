"""Why a figure on past forecasts is what it is: the springs behind it, the formula, the source."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from ringwise.desk.calibration import season_tasks, yard_records
from ringwise.desk.calibration_room import ALL, days_words, late_words, lead_words, scores_kept
from ringwise.desk.entry_words import stage_words
from ringwise.desk.weather_under import yard_series
from ringwise.kit.errors import InputError, NotReadyError, unknown_name
from ringwise.kit.trace import Trace
from ringwise.kit.words import _, counted

if TYPE_CHECKING:
    from ringwise.desk.workspace import Workspace
    from ringwise.phenology.scores import Score

FIGURES = ("bias", "off", "band", "compared", "mean")


def calibration_trace(workspace: Workspace, parts: Sequence[str]) -> Trace:
    """The chain behind a figure on past forecasts.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    parts : sequence of str
        ("yard", "calibration", "07" or "all", "14", "off").

    Returns
    -------
    Trace
        Its first link.

    Raises
    ------
    InputError
        If the name does not read.
    NotReadyError
        If nothing is scored for it.
    """
    if len(parts) != 5 or not parts[3].isdigit():
        raise InputError(
            _('"{result}" names no result; write yard:calibration:07:14:off').format(result=":".join(parts))
        )
    _yard, _what, code, lead, figure = parts
    if figure not in FIGURES:
        raise unknown_name(_("figure"), figure, FIGURES)
    tasks = season_tasks(workspace, yard_records(workspace), yard_series(workspace))
    scores = [each for each in scores_kept(workspace, tasks) if code in (ALL, each.code)]
    chosen = [each for each in scores if each.lead_days == int(lead)]
    if figure in {"compared", "mean"}:
        chosen = [each for each in chosen if each.mean_index is not None]
    if not chosen:
        raise NotReadyError(_("nothing is scored for this yet; open the page of past forecasts first."))
    value = _value(figure)
    per_season = tuple(
        Trace(
            str(label),
            value(those),
            "phenology.hindcast",
            counted("{n} sighting", "{n} sightings", len(those)),
        )
        for label in sorted({each.label for each in chosen})
        for those in [[each for each in chosen if each.label == label]]
    )
    stage = _("all stages") if code == ALL else stage_words(code, "")
    return Trace(
        label=_("{figure}: {stage}, {lead}").format(
            figure=_words(figure), stage=stage, lead=lead_words(int(lead))
        ),
        value=value(chosen),
        room="phenology.scores",
        formula=_formula(figure),
        source="own",
        inputs=per_season,
    )


def _words(figure: str) -> str:
    return {
        "bias": _("early or late"),
        "off": _("off by"),
        "band": _("band held"),
        "compared": _("off by, where there is an own mean"),
        "mean": _("own mean off by"),
    }[figure]


def _formula(figure: str) -> str:
    return {
        "bias": _("mean of the forecast's middle less the day seen"),
        "off": _("mean of the distance between the forecast's middle and the day seen"),
        "band": _("how often the day seen lay between one in ten and nine in ten"),
        "compared": _("the same, over the sightings of trees that were seen in an earlier spring"),
        "mean": _("distance of the mean of the tree's own earlier springs from the day seen"),
    }[figure]


def _value(figure: str) -> Callable[[Sequence[Score]], str]:
    def mean(values: Sequence[float]) -> float:
        return sum(values) / len(values)

    def bias(scores: Sequence[Score]) -> str:
        return late_words(mean([each.error_days for each in scores]))

    def off(scores: Sequence[Score]) -> str:
        return days_words(mean([abs(each.error_days) for each in scores]))

    def band(scores: Sequence[Score]) -> str:
        return _("{n} of {all}").format(n=sum(each.inside for each in scores), all=len(scores))

    def own_mean(scores: Sequence[Score]) -> str:
        return days_words(
            mean([abs(each.mean_index - each.seen_index) for each in scores if each.mean_index is not None])
        )

    return {"bias": bias, "off": off, "band": band, "compared": off, "mean": own_mean}[figure]
