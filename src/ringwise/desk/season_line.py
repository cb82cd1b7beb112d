"""The wish for a tree's season line: a growing year, its stages, and when works are likely open."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING

from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.dial import SHOWN_STAGES
from ringwise.desk.entry_words import group_of, stage_words
from ringwise.desk.own_facts import own_facts
from ringwise.desk.told import day_shape
from ringwise.desk.tree_room import band_shape, window_told
from ringwise.growth.girth_line import GROWTH_STAGES, growth_curve
from ringwise.kit import show
from ringwise.kit.days import growing_year
from ringwise.kit.words import _
from ringwise.phenology.stages import CONIFER_GROUPS, HALF_FRAC
from ringwise.records.observations import ROOTS_ACTIVE

if TYPE_CHECKING:
    from ringwise.desk.almanac import AlmanacView, TreeTold, WindowTold
    from ringwise.desk.shapes import Shape
    from ringwise.desk.workspace import Workspace
    from ringwise.kit.days import GrowingYear
    from ringwise.records.facts import TreeFacts


def season_line(workspace: Workspace, name: str, *, almanac: AlmanacView | None = None) -> Shape:
    """The growing year of a tree as one line. No forecast is made for it: all comes from the almanac.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    name : str
        Id or name of the tree; one that was retired has no works.
    almanac : AlmanacView, optional
        By default the workspace's own.

    Returns
    -------
    dict
        As the contract of the app has it; days are ISO dates.
    """
    facts = own_facts(workspace, name)
    view = almanac or almanac_of(workspace)
    tree, year = facts.tree.id, workspace.year
    gone = facts.tree.retired is not None
    told_of = None if gone or view.almanac is None else view.almanac.tree(tree)
    works = [] if told_of is None else [_work(each, told_of, facts, workspace) for each in told_of.windows]
    works.sort(key=_work_order)
    return {
        "tree": tree,
        "name": facts.tree.name,
        "year": year.label,
        "first": year.start.isoformat(),
        "days": year.length_days,
        "south": year.south,
        "today": workspace.today.isoformat(),
        "today_shown": show.day(workspace.today),
        "growth": _growth(told_of, year),
        "stages": _stages(facts, told_of, workspace.today, year),
        "works": works,
        "sentence": _sentence(facts, works, year, workspace.today),
        "state": view.state,
    }


def short_stage(code: str, group: str) -> str:
    """A stage in two or three words, for a label in a drawing.

    Parameters
    ----------
    code : str
        Of the stage.
    group : str
        Of the tree, G1 to G7; blank where it is not known.

    Returns
    -------
    str
        In the reader's language; where there is no short form the words of the stage.

    Examples
    --------
    >>> short_stage("03", "G1"), short_stage("19", "G5"), short_stage("H1", "")
    ('buds swollen', 'needles full length', 'leaves hard')
    """
    conifer = group in CONIFER_GROUPS
    found = _SHORT.get(code)
    return stage_words(code, group) if found is None else found()[conifer]


# Functions, so that the words are looked up in the user's language when they are shown.
_SHORT: Mapping[str, Callable[[], tuple[str, str]]] = {
    "00": lambda: (_("asleep"), _("asleep")),
    "01": lambda: (_("buds swell"), _("buds swell")),
    "03": lambda: (_("buds swollen"), _("buds swollen")),
    "07": lambda: (_("first green"), _("first green")),
    "09": lambda: (_("green tips"), _("green candles")),
    "10": lambda: (_("leaf tips part"), _("needles part")),
    "11": lambda: (_("first leaf"), _("first needles")),
    "15": lambda: (_("leaves half out"), _("needles half out")),
    "19": lambda: (_("leaves full size"), _("needles full length")),
    "H1": lambda: (_("leaves hard"), _("needles hard")),
    "91": lambda: (_("end buds set"), _("end buds set")),
    "92": lambda: (_("colour begins"), _("colour begins")),
    "93": lambda: (_("leaves fall"), _("needles fall")),
    "95": lambda: (_("half down"), _("half down")),
    "97": lambda: (_("bare"), _("bare")),
}


def _stages(facts: TreeFacts, told_of: TreeTold | None, today: date, year: GrowingYear) -> list[Shape]:
    group = group_of(facts.tree) or ""
    seen: dict[str, date] = {}
    for entry in facts.entries:
        when = entry.on.by
        if entry.kind != "stage" or entry.data["code"] == ROOTS_ACTIVE:  # no stage of the leaves
            continue
        if when is not None and growing_year(when, south=year.south) == year:
            seen.setdefault(str(entry.data["code"]), when)
    expected = {} if told_of is None else {each.code: each for each in told_of.stages}
    shapes = []
    for code in dict.fromkeys([*SHOWN_STAGES, *seen]):
        each, on = expected.get(code), seen.get(code)
        if on is None and (each is None or each.never_prob >= HALF_FRAC):
            continue
        why = f"{facts.tree.id}:stage:{code}"
        shapes.append(
            {
                "code": code,
                "words": stage_words(code, group),
                "short": short_stage(code, group),
                "seen": None if on is None else on.isoformat(),
                "seen_shown": "" if on is None else show.day(on),
                "expected": None if each is None else band_shape(each.band, why, today),
                "why": why,
            }
        )
    return sorted(shapes, key=_stage_day)


def _growth(told_of: TreeTold | None, year: GrowingYear) -> list[list[float]]:
    expected = () if told_of is None else told_of.stages
    fracs = {
        each.code: (each.band.median - year.start).days / year.length_days
        for each in expected
        if each.code in GROWTH_STAGES
    }
    pairs: list[list[float]] = growth_curve(fracs).tolist()
    return pairs


def _stage_day(stage: Shape) -> str:
    expected = stage["expected"]
    return str(stage["seen"] or (expected and expected["median"]) or "9999")


def _work(window: WindowTold, of: TreeTold, facts: TreeFacts, workspace: Workspace) -> Shape:
    plans = [entry for entry in facts.planned if entry.data.get("operation") == window.operation]
    return {
        **window_told(window, of, wanted=window.wanted, today=workspace.today),
        "planned": [day_shape(entry.on) for entry in plans if entry.on.known],
        "beyond": window.opens is not None and window.opens.median > workspace.year.end,
    }


def _work_order(work: Shape) -> tuple[bool, str, str]:
    opens = work["opens"]
    return not work["wanted"], "9999" if opens is None else str(opens["median"]), str(work["operation"])


def _sentence(facts: TreeFacts, works: Sequence[Shape], year: GrowingYear, today: date) -> str:
    said = _("{name}, growing year {year}, from {first} to {last}; today is {today}.").format(
        name=facts.tree.name,
        year=year.label,
        first=show.day(year.start, year=True),
        last=show.day(year.end, year=True),
        today=show.day(today),
    )
    if not works:
        return said + " " + _("No window of work is known yet.")
    lines = [f"{work['operation_words']}: {work['sentence']}." for work in works]
    return " ".join([said, *lines])
