"""The wish for the room Futures: the open question, its courses, what was run, decided and spent."""

from __future__ import annotations

import tomllib
from datetime import date
from functools import cache, lru_cache
from typing import TYPE_CHECKING

from ringwise.desk.aims import aims_mark
from ringwise.desk.aims_room import aims_form
from ringwise.desk.almanac_making import tree_mark
from ringwise.desk.own_courses import faults_of
from ringwise.desk.turning_kept import (
    FEWEST,
    FUTURES,
    MOST,
    MOST_COURSES,
    MOST_YEARS,
    YEARS,
    latest_run,
)
from ringwise.desk.turning_offers import (
    KnownCourse,
    OffersView,
    asked_courses,
    kept_offers,
    known_courses,
    open_question,
    own_text_of,
)
from ringwise.kit import show
from ringwise.kit.reading import Reading, current_reading
from ringwise.kit.words import _, counted, from_data
from ringwise.records.date_shown import date_shown

if TYPE_CHECKING:
    from collections.abc import Mapping

    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.futures.course import Course
    from ringwise.records.facts import TreeFacts


def turning_room(workspace: Workspace, tree: str) -> Shape:
    """All that the room of a tree's turning shows before a result is read; nothing is simulated for it.

    Parameters
    ----------
    workspace : Workspace
        The collection; a living one has its worker find out which courses can be done.
    tree : str
        Id or name.

    Returns
    -------
    dict
        As `faces/web/shapes/turning.TurningRoom`.
    """
    facts = workspace.facts_of(tree)
    question = open_question(facts)
    asked = asked_courses(facts)
    offers = kept_offers(workspace, facts)
    known = sorted(known_courses(facts, offers.judged), key=lambda each: _rank(each, asked, offers))
    return {
        "tree": facts.tree.id,
        "name": facts.tree.name,
        "question": str(question.data["title"]) if question else _("Which course should it take?"),
        "question_note": question.note if question else "",
        "is_open": bool(facts.open_questions),
        "asked_shown": date_shown(question.on) if question else "",
        "courses": [_course(each, asked, offers) for each in known],
        "offers_state": offers.state,
        "offers_words": offers.words,
        "spent": _spent(facts),
        "aims": aims_form(facts),
        "latest": _latest(workspace, facts),
        "job": _open_job(workspace, facts),
        "decision": _decision(workspace, facts),
        "choices": _choices(current_reading()),
        "limits": {
            "futures": FUTURES,
            "fewest_futures": FEWEST,
            "most_futures": MOST,
            "years": YEARS,
            "most_years": MOST_YEARS,
            "most_courses": MOST_COURSES,
        },
    }


def _rank(known: KnownCourse, asked: tuple[str, ...], offers: OffersView) -> tuple[bool, bool, bool]:
    """Own courses and those of the question first, then what can be done, as it was offered."""
    found = offers.judged.get(known.id)
    return known.entry is None, known.id not in asked, found is not None and not found.can


def _course(known: KnownCourse, asked: tuple[str, ...], offers: OffersView) -> Shape:
    course, entry = known.course, known.entry
    told = _ready(known.id, current_reading()) if entry is None else _written(course)
    found = offers.judged.get(known.id)
    can, why = (None, "") if found is None else (found.can, found.why)
    if entry is not None:
        told = told | {"text": str(entry.data["text"])}
        if course is None:
            told["title"], can, why = str(entry.data["title"]), False, known.fault
    return {
        "id": known.id,
        **told,
        "entry": None if entry is None else entry.id,
        "revision": None if entry is None else entry.revision,
        "asked": known.id in asked,
        "can": can,
        "why": why,
        "notes": [] if found is None else list(found.notes),
        "waits": "" if found is None else found.waits,
    }


@lru_cache(maxsize=1024)
def _ready(name: str, _how: Reading) -> Shape:
    """What a ready-made course says of itself in a reader's words; it is the same on every tree."""
    from ringwise.futures.catalogue import ready_course

    return _written(ready_course(name))


def _written(course: Course | None) -> Shape:
    """What a course says of itself; blank where its text does not read any more."""
    title, words = ("", "") if course is None else course.told
    return {
        "title": title,
        "words": words,
        "steps": _steps(course),
        "closes": from_data(course.closes) if course and course.closes else "",
        "text": own_text_of(course) if course else "",
        "draft": None if course is None else draft_of(course),
    }


def _steps(course: Course | None) -> list[str]:
    if course is None:
        return []
    return list(course.lines) or [_("routine care only")]


def draft_of(course: Course) -> Shape:
    """A course as the fields of a form.

    Parameters
    ----------
    course : Course
        Read.

    Returns
    -------
    dict
        Keys key, title, words, question, closes, reason, steps and checks; all of them text.

    Examples
    --------
    >>> from ringwise.futures.catalogue import ready_course
    >>> draft_of(ready_course("ground_layer"))["steps"][0]["operation"]
    'ground_layer'
    """
    raw = tomllib.loads(own_text_of(course))
    return {
        **{
            name: str(raw.get(name, "")) for name in ("key", "title", "words", "question", "closes", "reason")
        },
        "steps": [_row(row, STEP_FIELDS) for row in raw.get("step", ())],
        "checks": [_row(row, CHECK_FIELDS) for row in raw.get("check", ())],
    }


COURSE_FIELDS = ("key", "title", "words", "question", "closes", "reason")
STEP_FIELDS = (
    "after_years",
    "half",
    "operation",
    "site",
    "clock",
    "amount",
    "litres",
    "extra",
    "condition",
    "every_years",
    "until_years",
    "if",
    "unless",
)
CHECK_FIELDS = ("name", "after_years", "half", "look", "at_least", "times", "every_years", "until_years")


def _row(row: Mapping[str, object], names: tuple[str, ...]) -> dict[str, str]:
    return {name: _plain(row.get(name, "")) for name in names}


def _plain(value: object) -> str:
    return repr(value).removesuffix(".0") if isinstance(value, float) else str(value)


def course_tried(workspace: Workspace, tree: str, text: str) -> Shape:
    """A course as typed so far: what does not read, at its field; else its steps in words. Stores nothing.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    text : str
        TOML.

    Returns
    -------
    dict
        As `faces/web/shapes/turning.CourseTried`.
    """
    from ringwise.futures.course_file import read_course

    workspace.tree(tree)
    faults = faults_of(text)
    course = None if faults else read_course(text, name=_("course"))
    return {
        "faults": [
            {"part": each.part, "number": each.number, "field": each.field, "line": each.line}
            for each in faults
        ],
        "steps": _steps(course),
        "draft": None if course is None else draft_of(course),
    }


def _spent(facts: TreeFacts) -> Shape:
    """What was worked on the tree so far: shown, and counted for no course."""
    minutes = [each.data.get("minutes_min") for each in facts.works]
    known = [float(each) for each in minutes if isinstance(each, int | float)]
    total_min = sum(known)
    works = counted("{n} work", "{n} works", len(minutes))
    if not minutes:
        words = _("No work on it was written down yet.")
    elif not known:
        words = _("{works} so far, none with its time. What was spent counts for no course.").format(
            works=works
        )
    else:
        words = _("About {time} so far in {n} of {works}. It is spent, and counts for no course.").format(
            time=show.hours(total_min), n=len(known), works=works
        )
    return {"hours_h": round(total_min / 60.0, 2), "timed": len(known), "works": len(minutes), "words": words}


def _latest(workspace: Workspace, facts: TreeFacts) -> Shape | None:
    found = latest_run(workspace, facts)
    if found is None:
        return None
    made = date.fromisoformat(found["made_on"])
    is_old, is_weighed_anew = found["mark"] != tree_mark(facts), found.get("aims", "") != aims_mark(facts)
    note = ""
    if is_old:
        note = _("The record of the tree has changed since: run the courses again.")
    elif is_weighed_anew:
        note = _(
            "Your aims have changed since: run the courses again. What was lived is kept, so it is quick."
        )
    return {
        "id": found["id"],
        "made_shown": show.day(made, year=True),
        "courses": found["courses"],
        "futures": found["futures"],
        "years": found["years"],
        "is_old": is_old or is_weighed_anew,
        "note": note,
    }


def _open_job(workspace: Workspace, facts: TreeFacts) -> Shape | None:
    """The newest run of this tree that has not ended well."""
    from ringwise.desk.long_work import job_shape, jobs_of_app

    prefix = f"app.futures.{facts.tree.id}."
    newest = next((job for job in jobs_of_app(workspace) if job.id.startswith(prefix)), None)
    return None if newest is None or newest.state == "done" else job_shape(newest)


def _decision(workspace: Workspace, facts: TreeFacts) -> Shape | None:
    if not facts.decisions:
        return None
    entry = facts.decisions[-1]
    review = entry.data.get("review_on")
    day = date.fromisoformat(str(review)) if review else None
    due = day is not None and day <= workspace.today
    return {
        "entry": entry.id,
        "revision": entry.revision,
        "title": from_data(str(entry.data["title"])),
        "key": str(entry.data["key"]),
        "on_shown": date_shown(entry.on),
        "why": entry.note,
        "by": entry.by,
        "review_on": None if day is None else day.isoformat(),
        "review_shown": "" if day is None else show.day(day, year=True),
        "review_due": due,
    }


@cache
def _choices(_how: Reading) -> Shape:
    """What the form of a course offers; the same on every tree, in a reader's words."""
    return _form_choices()


def _form_choices() -> Shape:
    from ringwise.futures.course import HALVES
    from ringwise.futures.course_words import condition_words, look_words, operation_words
    from ringwise.futures.look_codes import LOOKS, MEASURED
    from ringwise.operations.effect_codes import CONDITIONS, EFFECTS

    halves = {"spring": _("at bud swell"), "summer": _("when the first leaves are hard")}
    looks = {key: look_words(key, "...") if key in MEASURED else look_words(key, "") for key in LOOKS}
    return {
        "operations": _listed({key: operation_words(key) for key in EFFECTS}),
        "conditions": _listed({key: condition_words(key) or _("always") for key in CONDITIONS}),
        "halves": _listed({key: halves[key] for key in HALVES}),
        "looks": _listed(looks),
    }


def _listed(words: Mapping[str, str]) -> list[Shape]:
    return [{"key": key, "words": text, "more": ""} for key, text in words.items()]
