"""Courses written in TOML, read and checked; every refusal is one line that names the place."""

from __future__ import annotations

import json
import math
import tomllib
from collections.abc import Callable, Mapping
from typing import Any, TypeVar

from ringwise.futures.course import HALVES, QUESTIONS, Check, Course, Step
from ringwise.futures.field_words import field_words
from ringwise.kit.errors import FileFormatError, MissingFieldError, RingwiseError, out_of_range, unknown_name
from ringwise.kit.words import _

_STEP_KEYS = (
    "after_years", "half", "operation", "site", "clock", "amount", "litres", "extra", "condition",
    "every_years", "until_years", "if", "unless",
)  # fmt: skip
_CHECK_KEYS = ("name", "after_years", "half", "look", "at_least", "times", "every_years", "until_years")
_LONG_TEXTS = ("words", "closes", "reason")
_COURSE_KEYS = ("key", "title", "words", "question", "closes", "reason", "step", "check")


def _text(raw: Mapping[str, Any], name: str, where: str, *, default: str | None = None) -> str:
    value = raw.get(name, default)
    if value is None:
        raise MissingFieldError(_("{name} is missing").format(name=field_words(name)), where=where)
    if not isinstance(value, str):
        raise FileFormatError(_("{name} is no text").format(name=field_words(name)), where=where)
    if name not in _LONG_TEXTS:
        _printable(value, name, where)
    return value


def _printable(value: str, name: str, where: str) -> None:
    if not value.isprintable():
        raise FileFormatError(
            _("{name} holds a line break or a sign that cannot be printed").format(name=field_words(name)),
            where=where,
        )


def _number(raw: Mapping[str, Any], name: str, where: str, default: Any = 0.0) -> float:
    value = raw.get(name, default)
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise FileFormatError(_("{name} is no number").format(name=field_words(name)), where=where)
    try:
        return float(value)
    except OverflowError:  # a whole number of hundreds of digits: out of any range
        return math.inf


def _whole(raw: Mapping[str, Any], name: str, where: str, default: int = 0) -> int:
    value = raw.get(name, default)
    if isinstance(value, bool) or not isinstance(value, int):
        raise FileFormatError(_("{name} is no whole number").format(name=field_words(name)), where=where)
    return value


def _as_typed(raw: Mapping[str, Any], name: str, where: str) -> str:
    """A text or a plain number, as it was written."""
    value = raw.get(name, "")
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise FileFormatError(
            _("{name} is neither text nor number").format(name=field_words(name)), where=where
        )
    _printable(str(value), name, where)
    return str(value)


def _known_keys(raw: Mapping[str, Any], keys: tuple[str, ...], where: str, what: str) -> None:
    for name in raw:
        _printable(name, what, where)
        if name not in keys:
            wrong = unknown_name(what, name, keys)
            wrong.where = where
            raise wrong


def _repeats(raw: Mapping[str, Any], where: str) -> dict[str, int]:
    if "every_years" in raw and _whole(raw, "every_years", where) < 1:
        raise out_of_range(field_words("every_years"), str(raw["every_years"]), _("1 or more"))
    return {name: _whole(raw, name, where) for name in ("every_years", "until_years")}


def _step(raw: Mapping[str, Any], where: str) -> Step:
    _known_keys(raw, _STEP_KEYS, where, _("key of a step"))
    if "if" in raw and "unless" in raw:
        raise FileFormatError(_("a step hangs on if or on unless, not on both"), where=where)
    hangs_on = "unless" if "unless" in raw else "if"
    check = _text(raw, hangs_on, where, default="")
    if hangs_on in raw and not check:
        raise MissingFieldError(_("{name} names no check").format(name=field_words(hangs_on)), where=where)
    clock_h = _number(raw, "clock", where, -1.0)
    if "clock" in raw and clock_h < 0:
        raise out_of_range(field_words("clock"), f"{clock_h:g}", _("0 to 12, front at 6"))
    return Step(
        after_years=_whole(raw, "after_years", where),
        half=_text(raw, "half", where, default="spring"),
        operation=_text(raw, "operation", where),
        site=_text(raw, "site", where, default=""),
        amount_frac=_number(raw, "amount", where),
        volume_l=_number(raw, "litres", where),
        condition=_text(raw, "condition", where, default="always"),
        clock_h=clock_h,
        extra=_number(raw, "extra", where),
        check=check,
        wanted=hangs_on == "if",
        **_repeats(raw, where),
    )


def _check(raw: Mapping[str, Any], where: str) -> Check:
    _known_keys(raw, _CHECK_KEYS, where, _("key of a check"))
    look = _text(raw, "look", where)
    return Check(
        name=_text(raw, "name", where),
        after_years=_whole(raw, "after_years", where),
        half=_text(raw, "half", where, default="summer"),
        look=look,
        at_least=_as_typed(raw, "at_least", where),
        times=_whole(raw, "times", where, 2 if look == "thicker_beyond" else 1),
        **_repeats(raw, where),
    )


_Row = TypeVar("_Row", Step, Check)


def _rows(
    raw: Mapping[str, Any], kind: str, make: Callable[[Mapping[str, Any], str], _Row], name: str
) -> tuple[_Row, ...]:
    rows = raw.get(kind, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        raise FileFormatError(_("{kind} tables are written as [[{kind}]]").format(kind=kind), where=name)
    told = _("{name}, step {n}") if kind == "step" else _("{name}, check {n}")
    out = []
    for number, row in enumerate(rows, start=1):
        where = told.format(name=name, n=number)
        try:
            out.append(make(row, where))
        except RingwiseError as wrong:
            wrong.where = wrong.where or where
            raise
    return tuple(sorted(out, key=lambda each: (each.after_years, HALVES.index(each.half))))


def toml_of(text: str, name: str) -> dict[str, Any]:
    """The tables of a TOML text.

    Parameters
    ----------
    text : str
        As typed.
    name : str
        File name for messages.

    Returns
    -------
    dict
        Plain values.

    Raises
    ------
    FileFormatError
        If it is no TOML, nests too deeply, or holds a number of thousands of digits.

    Source
    ------
    own.

    Examples
    --------
    >>> toml_of('key = "wait"', "wait.toml")
    {'key': 'wait'}
    """
    try:
        return tomllib.loads(text.removeprefix("\ufeff"))
    except RecursionError:
        raise FileFormatError(_("its lists lie too deep in each other"), where=name) from None
    except ValueError as wrong:
        why = wrong if isinstance(wrong, tomllib.TOMLDecodeError) else _("a number is too long")
        raise FileFormatError(_("it does not read as TOML: {why}").format(why=why), where=name) from wrong


def read_course(text: str, *, name: str = "course") -> Course:
    """A course from TOML text.

    Parameters
    ----------
    text : str
        `key`, `title`, `words` and any number of `[[check]]` and `[[step]]` tables.
    name : str
        File name for messages.

    Returns
    -------
    Course
        Checked; checks and steps are put in the order of time.

    Raises
    ------
    FileFormatError
        If the text is no TOML, a value has the wrong kind, or checks and steps do not fit together.
    MissingFieldError, UnknownNameError, RangeError
        For a missing key, an unknown operation, look, half or condition, or a year out of range.

    Source
    ------
    own.

    Examples
    --------
    >>> course = read_course('key = "wait"\\ntitle = "Wait"\\n[[step]]\\noperation = "rest"\\n')
    >>> course.steps[0].operation
    'rest'
    """
    raw = toml_of(text, name)
    _known_keys(raw, _COURSE_KEYS, name, _("key of a course"))
    question = _text(raw, "question", name, default="other")
    if question not in QUESTIONS:
        wrong = unknown_name(field_words("question"), question, QUESTIONS)
        wrong.where = name
        raise wrong
    key = _text(raw, "key", name)
    title = _text(raw, "title", name)
    if not key.strip():
        raise MissingFieldError(_("{name} is missing").format(name=field_words("key")), where=name)
    words = _text(raw, "words", name, default="")
    closes = _text(raw, "closes", name, default="")
    reason = _text(raw, "reason", name, default="")
    steps, checks = _rows(raw, "step", _step, name), _rows(raw, "check", _check, name)
    try:
        return Course(key, title, words, steps, question, closes, checks, reason)
    except RingwiseError as unfit:
        unfit.where = name if unfit.where in ("", key) else unfit.where
        raise


def course_text(course: Course) -> str:
    """A course as TOML text, such as `read_course` reads.

    Parameters
    ----------
    course : Course
        Any course.

    Returns
    -------
    str
        Keys, then checks, then steps; what has its usual value is left out.

    Source
    ------
    own.

    Examples
    --------
    >>> print(course_text(Course("wait", "Wait", "", (Step(0, "spring", "rest"),))))
    key = "wait"
    title = "Wait"
    question = "other"
    <BLANKLINE>
    [[step]]
    after_years = 0
    half = "spring"
    operation = "rest"
    <BLANKLINE>
    """
    names = ("key", "title", "words", "question", "closes", "reason")
    head = {name: getattr(course, name) for name in names}
    parts = [_table(head)]
    for check in course.checks:
        often = None if check.times == (2 if check.look == "thicker_beyond" else 1) else check.times
        row = {"name": check.name, "after_years": check.after_years, "half": check.half}
        row |= {"look": check.look, "at_least": check.at_least, "times": often}
        parts.append("[[check]]\n" + _table(row | _repeat(check)))
    for step in course.steps:
        row = {"after_years": step.after_years, "half": step.half, "operation": step.operation}
        row |= {"site": step.site, "clock": None if step.clock_h < 0 else step.clock_h}
        row |= {"amount": step.amount_frac or None, "litres": step.volume_l or None}
        row |= {
            "extra": step.extra or None,
            "condition": step.condition if step.condition != "always" else "",
        }
        row |= {"if" if step.wanted else "unless": step.check}
        parts.append("[[step]]\n" + _table(row | _repeat(step)))
    return "\n".join(parts)


def _repeat(row: Check | Step) -> dict[str, object]:
    return {"every_years": row.every_years or None, "until_years": row.until_years or None}


def _table(row: Mapping[str, object]) -> str:
    return "".join(f"{name} = {_toml(value)}\n" for name, value in row.items() if value not in (None, ""))


def _toml(value: object) -> str:
    """A value as TOML writes it; its basic strings take the escapes of JSON, but for DEL."""
    return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
