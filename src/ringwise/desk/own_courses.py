"""Courses that the grower wrote, as entries of a tree: their text read, what is wrong told at its field."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ringwise.kit.days import parse_date
from ringwise.kit.errors import FileFormatError, MissingFieldError, NotFoundError, RingwiseError
from ringwise.kit.words import _

if TYPE_CHECKING:
    from ringwise.futures.course import Course
    from ringwise.records.model import Entry

OWN = "own:"  # before the id of the entry: the name of an own course beside the ready-made ones
_LATE_YEARS = 60
LONGEST = 8000  # characters; a course of forty steps has about half


@dataclass(frozen=True)
class Fault:
    """What does not read of a course: the part ("step", "check" or ""), its number from 1 and the field."""

    part: str
    number: int
    field: str
    line: str


def own_course_data(text: str, *, files: bool = False) -> dict[str, Any]:
    """The data of the entry of an own course.

    Parameters
    ----------
    text : str
        TOML, as typed; the key of a ready-made course gives its text.
    files : bool
        Whether the name of a file of this machine gives its text: never for what comes from a browser.

    Returns
    -------
    dict
        Keys key, title and text.

    Raises
    ------
    InputError
        If it does not read as a course.

    Examples
    --------
    >>> own_course_data('key = "wait"\\ntitle = "Wait a year"\\n')["title"]
    'Wait a year'
    """
    whole = _text_of(text, files=files)
    course = _read(whole)
    return {"key": course.key, "title": course.title, "text": whole}


def decision_data(text: str, review: str, *, files: bool = False) -> dict[str, Any]:
    """The data of the entry of a decision.

    Parameters
    ----------
    text : str
        The course that was decided for, as `own_course_data` takes it.
    review : str
        Day on which to look at it again; blank for none.
    files : bool
        As in `own_course_data`.

    Returns
    -------
    dict
        Keys key, title, text and review_on.

    Raises
    ------
    InputError
        If the course or the day does not read.

    Examples
    --------
    >>> decision_data("accept", "2028-03-01")["review_on"]
    '2028-03-01'
    """
    day = parse_date(review, field="--review").isoformat() if review.strip() else None
    return own_course_data(text, files=files) | {"review_on": day}


def _text_of(text: str, *, files: bool) -> str:
    """TOML as it is; else that of a ready-made course or, from the command line, of a file."""
    from ringwise.futures.catalogue import course_keys, ready_course
    from ringwise.futures.course_file import course_text

    typed = text.strip()
    if not typed:
        raise MissingFieldError(_("a course needs its text, or the key of a ready-made one"))
    if typed in course_keys():
        return course_text(ready_course(typed))
    if "\n" in typed or "=" in typed:
        return typed + "\n"
    file = file_at(typed) if files else Path()
    if not files or file.suffix != ".toml" or not file.is_file():
        raise NotFoundError(
            _("there is no course or course file {name}").format(name=" ".join(typed.split())[:60])
        )
    return utf8_of(file)


def file_at(name: str) -> Path:
    """The file that a name stands for, ~ being one's own folder.

    Parameters
    ----------
    name : str
        As typed.

    Returns
    -------
    Path
        As it is where ~ names nobody.

    Examples
    --------
    >>> file_at("~nobody-of-that-name/a.toml").name
    'a.toml'
    """
    try:
        return Path(name).expanduser()
    except RuntimeError:
        return Path(name)


def utf8_of(file: Path) -> str:
    """The text of a file that a course is read from.

    Parameters
    ----------
    file : Path
        Of this machine.

    Returns
    -------
    str
        Its text.

    Raises
    ------
    FileFormatError
        If it is no UTF-8.
    """
    try:
        return file.read_text(encoding="utf-8")
    except UnicodeDecodeError:
        raise FileFormatError(_("is no UTF-8 text"), where=file.name) from None


def _read(text: str) -> Course:
    from ringwise.futures.course_file import read_course
    from ringwise.futures.field_words import field_words

    course = read_course(text, name=_("course"))
    if not course.title.strip():
        raise MissingFieldError(_("{name} is missing").format(name=field_words("title")))
    return course


def own_course(entry: Entry) -> Course:
    """The course of an entry, under a key that no other course has.

    Parameters
    ----------
    entry : Entry
        Of kind course or decision.

    Returns
    -------
    Course
        Read from its text.

    Raises
    ------
    InputError
        If an older text does not read any more.
    """
    return replace(_read(str(entry.data["text"])), key=f"{OWN}{entry.id}")


def raw_text(raw: Mapping[str, Any]) -> str:
    """TOML text of tables that may not read as a course.

    Parameters
    ----------
    raw : mapping
        Plain values, and lists of tables of plain values.

    Returns
    -------
    str
        It reads back as the same values.

    Examples
    --------
    >>> text = raw_text({"key": "a", "title": 'The "old" base', "step": [{"after_years": 1}]})
    >>> import tomllib
    >>> tomllib.loads(text)["title"]
    'The "old" base'
    """
    lines = [f"{name} = {_value(value)}" for name, value in raw.items() if not isinstance(value, list)]
    for name, rows in raw.items():
        if isinstance(rows, list):
            for row in rows:
                lines += ["", f"[[{name}]]", *(f"{key} = {_value(each)}" for key, each in row.items())]
    return "\n".join(lines) + "\n"


def _value(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        return repr(value)
    return json.dumps(str(value), ensure_ascii=False).replace("\x7f", "\\u007f")


def faults_of(text: str) -> tuple[Fault, ...]:
    """What does not read of a course's text, each with its field.

    Parameters
    ----------
    text : str
        TOML.

    Returns
    -------
    tuple of Fault
        Empty where the course reads.

    Examples
    --------
    >>> bad = 'key = "a"\\ntitle = "A"\\n[[step]]\\noperation = "chop"\\nhalf = "winter"\\nsite = "20 cm"\\n'
    >>> [(fault.part, fault.number, fault.field) for fault in faults_of(bad)]
    [('step', 1, 'half')]
    """
    from ringwise.futures.course_file import toml_of

    whole = _wrong(text)
    if whole is None:
        return ()
    try:
        raw = toml_of(text, "")
    except RingwiseError:
        return (Fault("", 0, "", whole),)
    found = [fault for part in ("check", "step") for fault in _faults_in(raw, part)]
    bare = {name: value for name, value in raw.items() if not isinstance(value, list)}
    wrong = _wrong(raw_text(bare))
    if wrong is not None:
        found.insert(0, Fault("", 0, _culprit(bare, lambda tried: _wrong(raw_text(tried))), wrong))
    return tuple(found) or (Fault("", 0, "", whole),)


def _faults_in(raw: Mapping[str, Any], part: str) -> list[Fault]:
    rows = raw.get(part, [])
    if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
        return []
    frame = {"key": "tried", "title": "tried"}
    checks = raw.get("check", []) if part == "step" else []

    def wrong(row: Mapping[str, Any]) -> str | None:
        return _wrong(raw_text(frame | _around(part, row, checks) | {part: [dict(row)]}))

    found = []
    for number, row in enumerate(rows, start=1):
        if part == "check" and not row.get("name"):  # no step can hang on it: nothing else can be tried
            found.append(Fault(part, number, "name", _("a check needs a name")))
            continue
        line = wrong(row)
        if line is not None:
            found.append(Fault(part, number, _culprit(row, wrong), line))
    return found


def _around(part: str, row: Mapping[str, Any], checks: Any) -> dict[str, Any]:
    """What a single row needs beside it: the check that a step hangs on, a step that hangs on the check."""
    if part == "check":
        late = {"after_years": _LATE_YEARS, "half": "summer", "operation": "rest", "if": row.get("name", "")}
        return {"step": [late]}
    hung = {row.get("if"), row.get("unless")} - {None, ""}
    near = [each for each in checks if isinstance(each, dict) and each.get("name") in hung]
    return {"check": near} if near else {}


def _culprit(row: Mapping[str, Any], wrong: Any) -> str:
    """The field without which the rest reads, or which reads once it is a usual one; blank where none is."""
    for name in row:
        if wrong({key: value for key, value in row.items() if key != name}) is None:
            return str(name)
    if "operation" in row and wrong({**row, "operation": "rest"}) is None:
        return "operation"
    needed = {"operation": "rest", "key": "tried", "title": "tried", "name": "tried", "look": "rooted"}
    for name, value in needed.items():
        if wrong({**row, name: value}) is None:
            return name
    return ""


def _wrong(text: str) -> str | None:
    if len(text) > LONGEST:
        return _("the course is longer than {n} characters").format(n=LONGEST)
    try:
        _read(text)
    except RingwiseError as wrong:
        return wrong.message
    return None
