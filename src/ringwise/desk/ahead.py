"""The years ahead of one tree, left as it is or as was decided: girths, and in how many futures it lives."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from ringwise.desk.almanac_making import tree_mark
from ringwise.desk.decided import decided_now
from ringwise.desk.results import result_key
from ringwise.desk.structures import structure_entry
from ringwise.kit.errors import NotReadyError
from ringwise.kit.words import _, from_data

if TYPE_CHECKING:
    from collections.abc import Callable

    from ringwise.desk.workspace import Workspace
    from ringwise.futures.outcome import Lives
    from ringwise.records.facts import TreeFacts

KIND = "ahead"
COURSE = "as_it_is"
FUTURES = 200  # the share alive to about 3 in 100, the median girth to less than its own measuring error
YEARS = 15
KEPT = 400  # results that stay in the store, so that each tree of a large yard has one


@dataclass(frozen=True)
class AheadYear:
    """Girth at the end of a growing year to come, over the futures in which the tree lives then."""

    label: int
    low_mm: float
    median_mm: float
    high_mm: float
    alive_frac: float


@dataclass(frozen=True)
class Ahead:
    """The years ahead; a year in which the tree lives in no future is left out.

    Girths are the measured girth times the share by which the base thickens in the futures (`measured`), or
    those of the futures themselves where no girth was measured. `course` is the title of the course that was
    decided for; blank for the tree left as it is.
    """

    tree: str
    years: tuple[AheadYear, ...]
    futures: int
    seed: int
    engine: str
    measured: bool
    course: str = ""


@dataclass(frozen=True)
class AheadView:
    """What there is of the years ahead: "ready", "making" or "none"; in words, what it stands on or lacks."""

    state: str
    words: str
    ahead: Ahead | None = None


def ahead_words(ahead: Ahead) -> str:
    """What the years ahead stand on, in a line for the dial.

    Parameters
    ----------
    ahead : Ahead
        Made.

    Returns
    -------
    str
        With what is not known of thickening.
    """
    if ahead.course:
        return _(
            "As decided: {course}. {n} futures. How fast a tree thickens in a pot is published nowhere; its"
            " own girths teach it."
        ).format(course=from_data(ahead.course), n=ahead.futures)
    return _(
        "Left as it is, {n} futures. How fast a tree thickens in a pot is published nowhere; its own girths"
        " teach it."
    ).format(n=ahead.futures)


def ahead_key(workspace: Workspace, facts: TreeFacts) -> str:
    """The key of a tree's years ahead; found without building the tree.

    Parameters
    ----------
    workspace : Workspace
        For today and the seed.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        64 hexadecimal digits.
    """
    inputs = {
        "tree": tree_mark(facts),
        "today": workspace.today,
        "south": workspace.settings.south,
        "futures": FUTURES,
        "years": YEARS,
    }
    decided = decided_now(workspace, facts)
    if decided is not None:
        inputs["decided"] = decided.course
    return result_key(KIND, inputs, [], workspace.seed)


def ahead_stored(workspace: Workspace, facts: TreeFacts) -> Ahead | None:
    """The years ahead of a tree, where they were made for what is known of it now.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    Ahead or None
        None where they are still to be made.
    """
    import json

    stored = workspace.store.result_get(ahead_key(workspace, facts))
    if stored is None:
        return None
    plain = json.loads(stored)
    years = tuple(AheadYear(**year) for year in plain["years"])
    return Ahead(**{**plain, "years": years})


def why_no_ahead(facts: TreeFacts) -> str:
    """What a tree lacks for its years ahead; blank where it lacks nothing that a glance can tell.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.

    Returns
    -------
    str
        In words.
    """
    if facts.taxon is None:
        return _("Its species is in no list, so no futures can be told.")
    measured = facts.trunk_mm is not None and facts.height_mm is not None
    if not measured and structure_entry(facts) is None:
        return _("Its trunk and height are not both known; log them, and the years ahead are told.")
    return ""


def ahead_of(workspace: Workspace, tree: str) -> AheadView:
    """The years ahead of a tree for a page: what is kept, else they are begun and the page says so.

    Parameters
    ----------
    workspace : Workspace
        A living one has them made by its worker; any other one only tells what is kept.
    tree : str
        Id or name.

    Returns
    -------
    AheadView
        With words for the dial, also where there are none.
    """
    from ringwise.desk.living_workspace import LivingWorkspace
    from ringwise.kit.reading import current_reading

    facts = workspace.facts_of(tree)
    lacking = why_no_ahead(facts)
    if lacking:
        return AheadView("none", lacking)
    found = ahead_stored(workspace, facts)
    if found is not None:
        return AheadView("ready", ahead_words(found), found)
    if not isinstance(workspace, LivingWorkspace):
        return AheadView("none", _("The years ahead were not made yet."))
    job = workspace.yard.worker.ahead_job(facts.tree.id, current_reading())
    if job["state"] in {"failed", "cancelled"}:
        return AheadView("none", job["error"] or _("The years ahead were taken off before they were made."))
    return AheadView("making", _("The years ahead are being made."))


def make_ahead(
    workspace: Workspace, tree: str, progress: Callable[[float, str], None] | None = None
) -> Ahead:
    """Live a tree left as it is, and keep what comes of it.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    tree : str
        Id or name.
    progress : callable, optional
        Told the share done.

    Returns
    -------
    Ahead
        Also stored.

    Raises
    ------
    MissingFieldError
        If neither a tape nor trunk and height are known.
    """
    from ringwise.desk.lives import Look, course_lives
    from ringwise.desk.results import kept
    from ringwise.desk.start_tree import start_of
    from ringwise.futures.catalogue import ready_course
    from ringwise.futures.feasible import check_feasible
    from ringwise.growth.biology import biology
    from ringwise.records.taxa import lookup_keys

    facts = workspace.facts_of(tree)
    lacking = why_no_ahead(facts)
    if lacking:
        raise NotReadyError(lacking, where=facts.tree.id)

    def made() -> dict[str, object]:
        start = start_of(workspace, facts)
        look = Look(FUTURES, YEARS, workspace.settings.workers)
        life = biology(lookup_keys(facts.tree.species if facts.taxon is None else facts.taxon.key))
        decided = decided_now(workspace, facts)
        course = ready_course(COURSE) if decided is None else decided.course
        if decided is not None:
            check_feasible(course, start, life)
        lives = course_lives(workspace, start, course, life, look, progress)
        title = "" if decided is None else course.title
        return asdict(_of_lives(workspace, facts, lives, title))

    kept(workspace, KIND, ahead_key(workspace, facts), made)
    workspace.store.results_keep(KIND, KEPT)
    found = ahead_stored(workspace, facts)
    assert found is not None
    return found


def _of_lives(workspace: Workspace, facts: TreeFacts, lives: Lives, title: str) -> Ahead:
    import numpy as np

    from ringwise.records.girths import girths_of_one_line

    girth, alive = lives.of("girth_mm"), lives.alive
    measured = girths_of_one_line(facts.entries)
    if measured:  # the base is not always where it was measured, and a tape may be older than the last girth
        girth = girth / girth[:, :1] * measured[-1].girth_mm
    years = []
    for after in range(2, lives.years + 1):  # the first is this growing year, whose ring is drawn already
        living = girth[:, after][~np.isnan(girth[:, after])]
        if living.size:
            low, median, high = (float(each) for each in np.percentile(living, (10, 50, 90)))
            share = float(alive[:, after].mean())
            label = workspace.year.label + after - 1
            years.append(AheadYear(label, round(low, 1), round(median, 1), round(high, 1), share))
    return Ahead(facts.tree.id, tuple(years), lives.futures, lives.seed, lives.engine, bool(measured), title)
