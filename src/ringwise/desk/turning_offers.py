"""The courses that a tree may take: offered, ready-made and own, and whether each can be done on it now."""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from ringwise.desk import clock
from ringwise.desk.engine import engine_version
from ringwise.desk.own_courses import OWN, own_course
from ringwise.desk.own_tries import learned_of
from ringwise.desk.results import result_key
from ringwise.kit.errors import MissingFieldError, RingwiseError, unknown_name
from ringwise.kit.reading import UNITS, Reading, current_reading, languages, reading
from ringwise.kit.words import _
from ringwise.records.taxa import lookup_keys

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from ringwise.desk.workspace import Workspace
    from ringwise.futures.course import Course
    from ringwise.futures.offers import Offer
    from ringwise.futures.start import Start
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry

KIND = "offers"
KEPT = 400  # results that stay in the store, so that each tree of a large yard has one


@dataclass(frozen=True)
class KnownCourse:
    """A course under the name by which it is asked for; `entry` where the grower wrote it.

    `course` is None where an own text does not read any more; `fault` then says why.
    """

    id: str
    course: Course | None
    entry: Entry | None = None
    fault: str = ""


@dataclass(frozen=True)
class Judged:
    """What was found out of a course on a tree, in words."""

    can: bool
    why: str
    notes: tuple[str, ...] = ()
    waits: str = ""


@dataclass(frozen=True)
class OffersView:
    """What was found out of each course, by its name; offered ones first. "ready", "making" or "none"."""

    state: str
    words: str
    judged: Mapping[str, Judged]


def own_courses(facts: TreeFacts) -> tuple[KnownCourse, ...]:
    """The courses that the grower wrote for a tree.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    tuple of KnownCourse
        In the order in which they were written.
    """
    own = []
    for entry in facts.courses:
        try:
            own.append(KnownCourse(f"{OWN}{entry.id}", own_course(entry), entry))
        except RingwiseError as wrong:
            own.append(KnownCourse(f"{OWN}{entry.id}", None, entry, wrong.message))
    return tuple(own)


def known_courses(facts: TreeFacts, judged: Mapping[str, Judged]) -> tuple[KnownCourse, ...]:
    """The courses shown for a tree: the grower's own, those of its question, and those that were offered.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    judged : mapping of str to Judged
        What was found out.

    Returns
    -------
    tuple of KnownCourse
        Under names that no two share.
    """
    from ringwise.futures.catalogue import ready_course

    names = dict.fromkeys((*asked_courses(facts), *judged))
    ready = [KnownCourse(name, ready_course(name)) for name in names if not name.startswith(OWN)]
    return (*own_courses(facts), *ready)


def chosen_courses(facts: TreeFacts, ids: Sequence[str]) -> tuple[Course, ...]:
    """The courses of some names, as they were asked for.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    ids : sequence of str
        Keys of ready-made courses, with a height where one is to be chosen, or names of own ones.

    Returns
    -------
    tuple of Course
        Read.

    Raises
    ------
    MissingFieldError
        If none is named.
    InputError
        If there is no such course, or its height does not read.
    """
    from ringwise.futures.catalogue import course_keys, is_ready, ready_course

    own = {each.id: each.course for each in own_courses(facts) if each.course is not None}
    if not ids:
        raise MissingFieldError(_("no course is chosen; choose one or more"))
    found = []
    for name in dict.fromkeys(ids):
        if name in own:
            found.append(own[name])
        elif is_ready(name):
            found.append(ready_course(name))
        else:
            raise unknown_name(_("course"), name, (*own, *course_keys()))
    return tuple(found)


def open_question(facts: TreeFacts) -> Entry | None:
    """The newest question that is open, else the newest that was asked; None where none was."""
    return facts.question


def asked_courses(facts: TreeFacts) -> tuple[str, ...]:
    """The ready-made courses that the question of a tree names.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    tuple of str
        Keys; empty where no question was asked or it names none that is known.
    """
    from ringwise.futures.catalogue import is_ready

    question = open_question(facts)
    listed = question.data.get("courses") if question is not None else None
    names = [str(key) for key in listed] if isinstance(listed, list | tuple) else []
    return tuple(key for key in names if is_ready(key))


def offers_key(workspace: Workspace, facts: TreeFacts) -> str:
    """The key of what was found out of a tree's courses; found without building the tree.

    Parameters
    ----------
    workspace : Workspace
        For the day, from which the last days of waiting are told.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    from ringwise.desk.almanac_making import tree_mark

    own = [(each.id, each.course) for each in own_courses(facts)]
    inputs = {"tree": tree_mark(facts), "today": workspace.today, "own": own, "asked": asked_courses(facts)}
    inputs["learned"] = learned_of(workspace, facts)  # tries on other trees move the odds of this one
    return result_key(KIND, inputs, [], workspace.seed)


def kept_offers(workspace: Workspace, facts: TreeFacts) -> OffersView:
    """What can be done on a tree, for a page: what is kept, else it is begun and the page says so.

    Parameters
    ----------
    workspace : Workspace
        A living one has it found out by its worker.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    OffersView
        With words where it is not known.
    """
    from ringwise.desk.ahead import why_no_ahead
    from ringwise.desk.living_workspace import LivingWorkspace

    lacking = why_no_ahead(facts)
    if lacking:
        return OffersView("none", lacking, {})
    stored = workspace.store.result_get(offers_key(workspace, facts))
    if stored is not None:
        how = current_reading()
        told = json.loads(stored)[f"{how.language}.{how.units}"]
        judged = {
            name: Judged(each["can"], each["why"], tuple(each["notes"]), each["waits"])
            for name, each in told.items()
        }
        return OffersView("ready", "", judged)
    unknown = _("Which courses can be done was not found out yet.")
    if not isinstance(workspace, LivingWorkspace):
        return OffersView("none", unknown, {})
    job = workspace.yard.worker.begun_job(KIND, facts.tree.id, current_reading())
    if job["state"] in {"failed", "cancelled"}:
        return OffersView("none", job["error"] or unknown, {})
    return OffersView("making", _("Which courses can be done is being found out."), {})


def make_offers(workspace: Workspace, tree: str) -> None:
    """Find out which courses can be done on a tree, and keep it in every language; called in the worker.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    """
    from ringwise.desk.setting_dates import last_setting_of
    from ringwise.desk.start_tree import start_of
    from ringwise.futures.rings import Lives
    from ringwise.futures.scan import scan
    from ringwise.growth.biology import biology
    from ringwise.growth.tries import life_after
    from ringwise.structure.measured import measured_of

    facts = workspace.facts_of(tree)
    start = start_of(workspace, facts)
    life = biology(lookup_keys(facts.tree.species if facts.taxon is None else facts.taxon.key))
    lives = Lives(green=start.conifer, buds=start.buds_seen)
    found = scan(measured_of(start.tables[0]), life_after(life, start.learned), lives)
    last = last_setting_of(workspace)
    told: dict[str, Any] = {}
    for language in languages():
        for units in UNITS:
            with reading(Reading(language, units)):
                told[f"{language}.{units}"] = _judged(workspace, facts, start, (life, found, last))
    workspace.store.result_put(
        offers_key(workspace, facts),
        KIND,
        json.dumps(told, ensure_ascii=False),
        made=clock.now(),
        engine_version=engine_version(),
        seed=workspace.seed,
    )
    workspace.store.results_keep(KIND, KEPT)


def _judged(workspace: Workspace, facts: TreeFacts, start: Start, known: Any) -> dict[str, Any]:
    """Offered courses first; then those of the question and the grower's own that no offer stands for."""
    from ringwise.desk.setting_dates import waits_of
    from ringwise.futures.catalogue import ready_course
    from ringwise.futures.feasible import ring_notes, unfeasible
    from ringwise.futures.offers import Offer, offers

    life, found, last = known

    def told(offer: Offer) -> dict[str, Any]:
        waits = waits_of(workspace, offer.course, last) if offer.feasible else ""
        return {"can": offer.feasible, "why": offer.why, "notes": list(offer.notes), "waits": waits}

    rows = {offer.course.key: told(offer) for offer in offers(start, life, found)}
    others = {name: ready_course(name) for name in asked_courses(facts) if name not in rows}
    others |= {each.id: each.course for each in own_courses(facts) if each.course is not None}
    for name, course in others.items():
        against = unfeasible(course, start, found.trunk)
        notes = () if against else ring_notes(course, start, found.trunk)
        rows[name] = told(Offer(course, not against, against, notes))
    return rows


def own_text_of(course: Course) -> str:
    """A course as text that can be written on: a chosen height stands in its title and words.

    Parameters
    ----------
    course : Course
        Ready-made.

    Returns
    -------
    str
        TOML.

    Examples
    --------
    >>> from ringwise.futures.catalogue import ready_course
    >>> "{height}" in own_text_of(ready_course("chop@22cm"))
    False
    """
    from ringwise.futures.course_file import course_text

    if not course.height_mm:
        return course_text(course)
    title, words = course.told
    return course_text(replace(course, title=title, words=words, height_mm=0.0))
