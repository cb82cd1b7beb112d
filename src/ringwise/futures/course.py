"""A course: steps after so many years, some only if something is seen; read from text and checked."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from ringwise.kit.errors import FileFormatError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.units import parse_quantity
from ringwise.kit.words import _, counted, from_data
from ringwise.operations.effect_codes import CONDITIONS, EFFECTS

MOST_YEARS = 60
HALVES = ("spring", "summer")
QUESTIONS = ("base", "graft", "other")
BASE_RING_MM = 15.0  # upper edge of a ring at the base, above the soil: the collar pot holds the rest
_STEP_KEYS = ("after_years", "half", "operation", "site", "amount", "litres", "condition")
_COURSE_KEYS = ("key", "title", "words", "question", "closes", "step")


@dataclass(frozen=True)
class Step:
    """One step: when, what, where, how much, on what condition.

    `half` is spring (bud swell) or summer (first leaves hard). `site` is "base", a height such as
    "22 cm", or "" where the work needs none. `amount_frac` is a share of the roots; 0 takes the usual.
    """

    after_years: int
    half: str
    operation: str
    site: str = ""
    amount_frac: float = 0.0
    volume_l: float = 0.0
    condition: str = "always"

    def __post_init__(self) -> None:
        if self.operation not in EFFECTS:
            raise unknown_name(_("operation of a course"), self.operation, EFFECTS)
        if self.condition not in CONDITIONS:
            raise unknown_name(_("condition of a step"), self.condition, CONDITIONS)
        if self.half not in HALVES:
            raise unknown_name(_("half of the year"), self.half, HALVES)
        if not 0 <= self.after_years <= MOST_YEARS:
            raise out_of_range(
                _("years until a step"), str(self.after_years), _("0 to {n}").format(n=MOST_YEARS)
            )
        if not 0 <= self.amount_frac < 1:
            raise out_of_range(_("share of roots"), str(self.amount_frac), _("0 to below 1"))
        if not self.volume_l >= 0:
            raise out_of_range(_("litres of a step"), str(self.volume_l), _("0 or more"))
        self.height_mm  # noqa: B018  a site that does not read is refused here

    @property
    def height_mm(self) -> float:
        """Height of the site above the soil, 0 where the step needs none."""
        if self.site in ("", "roots", "graft"):
            return 0.0
        if self.site == "base":
            return BASE_RING_MM
        return parse_quantity(self.site, "length", field=_("site of a step"))

    @property
    def words(self) -> str:
        """The step in words."""
        when = (
            counted("after {n} year", "after {n} years", self.after_years) if self.after_years else _("now")
        )
        half = _("at bud swell") if self.half == "spring" else _("when the first leaves are hard")
        where = f" ({from_data(self.site)})" if self.site else ""
        only = "" if self.condition == "always" else ", " + condition_words(self.condition)
        return f"{when}, {half}: {operation_words(self.operation)}{where}{only}"


@dataclass(frozen=True)
class Course:
    """A possible way on: key, title, a sentence, steps in order, and what decisions it closes."""

    key: str
    title: str
    words: str
    steps: tuple[Step, ...] = ()
    question: str = "other"
    closes: str = ""


def operation_words(operation: str) -> str:
    """An operation of a course in plain words.

    Parameters
    ----------
    operation : str
        Its key.

    Returns
    -------
    str
        Words for the grower.

    Raises
    ------
    UnknownNameError
        If there is no such operation.

    Source
    ------
    own.

    Examples
    --------
    >>> operation_words("repot")
    'repot'
    """
    words = {
        "rest": _("leave in peace"),
        "prune": _("remove the wood above"),
        "chop": _("cut the trunk"),
        "repot": _("repot"),
        "lift": _("lift from the ground"),
        "ground_layer": _("ring the base for a ground layer"),
        "air_layer": _("ring the trunk for an air layer"),
        "separate_layer": _("separate the layer"),
        "root_graft": _("graft a seedling root into each empty sector"),
        "approach_graft": _("set an approach graft"),
        "check_graft": _("measure the graft on both sides"),
        "sever_graft": _("sever the graft"),
        "abandon_graft": _("take the donor off"),
        "cut_back": _("cut back to two nodes"),
    }
    if operation not in words:
        raise unknown_name(_("operation of a course"), operation, words)
    return words[operation]


def condition_words(condition: str) -> str:
    """A condition in plain words.

    Parameters
    ----------
    condition : str
        Its key.

    Returns
    -------
    str
        Words for the grower, starting with "if" where there is one.

    Raises
    ------
    UnknownNameError
        If there is no such condition.

    Source
    ------
    own.

    Examples
    --------
    >>> condition_words("rooted")
    'if roots are seen'
    """
    words = {
        "always": "",
        "rooted": _("if roots are seen"),
        "not_rooted": _("if no roots are seen"),
        "taken": _("if thicker beyond the joint than before it at two checks"),
        "not_taken": _("if not thicker beyond the joint at two checks"),
        "sectors_empty": _("if a sector is still empty"),
        "not_severed": _("if it has not been severed"),
    }
    if condition not in words:
        raise unknown_name(_("condition of a step"), condition, words)
    return words[condition]


def _text(raw: Mapping[str, Any], name: str, where: str, *, default: str | None = None) -> str:
    value = raw.get(name, default)
    if value is None:
        raise MissingFieldError(_("{name} is missing").format(name=name), where=where)
    if not isinstance(value, str):
        raise FileFormatError(_("{name} is no text").format(name=name), where=where)
    return value


def _number(raw: Mapping[str, Any], name: str, where: str) -> float:
    value = raw.get(name, 0.0)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FileFormatError(_("{name} is no number").format(name=name), where=where)
    return float(value)


def _step(raw: Mapping[str, Any], where: str) -> Step:
    for name in raw:
        if name not in _STEP_KEYS:
            raise unknown_name(f"{where}: {_('key of a step')}", name, _STEP_KEYS)
    years = raw.get("after_years", 0)
    if isinstance(years, bool) or not isinstance(years, int):
        raise FileFormatError(_("after_years is no whole number"), where=where)
    return Step(
        after_years=years,
        half=_text(raw, "half", where, default="spring"),
        operation=_text(raw, "operation", where),
        site=_text(raw, "site", where, default=""),
        amount_frac=_number(raw, "amount", where),
        volume_l=_number(raw, "litres", where),
        condition=_text(raw, "condition", where, default="always"),
    )


def read_course(text: str, *, name: str = "course") -> Course:
    """A course from TOML text.

    Parameters
    ----------
    text : str
        `key`, `title`, `words` and any number of `[[step]]` tables.
    name : str
        File name for messages.

    Returns
    -------
    Course
        Checked; steps are put in the order of time.

    Raises
    ------
    FileFormatError
        If the text is no TOML or a value has the wrong kind.
    MissingFieldError, UnknownNameError, RangeError
        For a missing key, an unknown operation, half or condition, or a year out of range.

    Source
    ------
    own.

    Examples
    --------
    >>> course = read_course('key = "wait"\\ntitle = "Wait"\\n[[step]]\\noperation = "rest"\\n')
    >>> course.steps[0].operation
    'rest'
    """
    try:
        raw = tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        raise FileFormatError(_("it does not read as TOML: {why}").format(why=wrong), where=name) from wrong
    for each in raw:
        if each not in _COURSE_KEYS:
            raise unknown_name(f"{name}: {_('key of a course')}", each, _COURSE_KEYS)
    rows = raw.get("step", [])
    if not isinstance(rows, list):
        raise FileFormatError(_("steps are written as [[step]]"), where=name)
    steps = [_step(row, _("{name}, step {n}").format(name=name, n=n)) for n, row in enumerate(rows, start=1)]
    steps.sort(key=lambda step: (step.after_years, HALVES.index(step.half)))
    question = _text(raw, "question", name, default="other")
    if question not in QUESTIONS:
        raise unknown_name(_("question of a course"), question, QUESTIONS)
    return Course(
        key=_text(raw, "key", name),
        title=_text(raw, "title", name),
        words=_text(raw, "words", name, default=""),
        steps=tuple(steps),
        question=question,
        closes=_text(raw, "closes", name, default=""),
    )
