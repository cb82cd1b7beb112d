"""The wish for the pots of a season: in which order trees are repotted, into what, and the mixes for all."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from ringwise.desk.almanac import NO_DAY
from ringwise.desk.almanac_access import almanac_of
from ringwise.desk.pots import find_pot
from ringwise.desk.potting import PottingWish, planned_work, pot_job
from ringwise.desk.shapes import Shape, pot_words
from ringwise.kit import show
from ringwise.kit.errors import InputError
from ringwise.kit.words import _
from ringwise.records.facts import REPOTTING

if TYPE_CHECKING:
    from ringwise.desk.almanac import Almanac, AlmanacView, WindowTold
    from ringwise.desk.workspace import Workspace
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Pot
    from ringwise.rootzone.batches import Batch
    from ringwise.rootzone.potting import Potting


@dataclass(frozen=True)
class Job:
    """A tree to be repotted: its window, the pot it stands in, the pot it goes into, what must lie ready."""

    facts: TreeFacts
    window: WindowTold
    into: Pot | None
    ready: Potting | None
    note: str = ""

    @property
    def stands_in(self) -> str:
        """Id of the pot it stands in; blank for none."""
        return "" if self.facts.pot is None else self.facts.pot.id

    @property
    def frees(self) -> str:
        """Id of the pot that becomes free; blank where it goes back into its own."""
        stays = self.into is None or self.into.id == self.stands_in
        return "" if stays else self.stands_in


def pot_season(workspace: Workspace, *, almanac: AlmanacView | None = None) -> Shape:
    """The pots of this season in the order of work, the mixes for them, and what to have at hand.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    almanac : AlmanacView, optional
        By default the workspace's own.

    Returns
    -------
    dict
        As the contract of the app has it.
    """
    from ringwise.rootzone.batches import batches, checked_scoop_cm3

    view = almanac or almanac_of(workspace)
    jobs = work_order(jobs_of(workspace, view.almanac)) if view.almanac is not None else []
    made = batches([job.ready.need(job.facts.tree.name) for job in jobs if job.ready is not None])
    scoop = checked_scoop_cm3(None)
    notes = [_("Planning figures: settling 15 %, waste 5 %. Moisten and sieve dry granules before use.")]
    return {
        "state": view.state,
        "scoop": show.litres(scoop),
        "pots": [_row(job, jobs) for job in jobs],
        "batches": [_batch(batch) for batch in made],
        "shopping": _shopping(made),
        "notes": notes if made else [],
    }


def jobs_of(workspace: Workspace, almanac: Almanac) -> list[Job]:
    """The repottings that are planned or due, with the earliest window first.

    Parameters
    ----------
    workspace : Workspace
        The collection.
    almanac : Almanac
        The windows.

    Returns
    -------
    list of Job
        One a tree; a window that is over or blocked is left out.
    """
    found = []
    for tree, raw in almanac.raw.items():
        named = [each for each in raw["windows"] if each["wanted"] and each["operation"] in REPOTTING]
        if not named or tree not in workspace.facts:
            continue
        told_of = almanac.tree(tree)
        windows = () if told_of is None else told_of.windows
        open_ones = [
            each
            for each in windows
            if each.wanted and each.operation in REPOTTING and each.state not in {"closed", "blocked"}
        ]
        if open_ones:
            window = min(open_ones, key=_day_of)
            found.append(_job(workspace, workspace.facts[tree], window))
    return sorted(found, key=lambda job: (_day_of(job.window), job.facts.tree.id))


def _day_of(window: WindowTold) -> int:
    return NO_DAY if window.opens is None else window.opens.median.toordinal()


def _job(workspace: Workspace, facts: TreeFacts, window: WindowTold) -> Job:
    from ringwise.rootzone.potting import potting

    plan = planned_work(facts, window.operation)
    try:
        job = pot_job(workspace, facts, PottingWish(), plan)
        named = None if plan is None else plan.data.get("pot")
        into = find_pot(workspace, str(named)) if named else facts.pot
        return Job(facts, window, into, potting(job))
    except InputError as wrong:
        return Job(facts, window, None, None, wrong.message)


def work_order(jobs: Sequence[Job]) -> list[Job]:
    """Jobs in an order in which each pot is free when its turn comes.

    Parameters
    ----------
    jobs : sequence of Job
        With the earliest window first.

    Returns
    -------
    list of Job
        As given, but a tree waits for the one that stands in its pot; two that swap keep their order.
    """
    left, done = list(jobs), []
    while left:
        held = {job.stands_in for job in left}
        free = next((job for job in left if _target(job) not in held - {job.stands_in}), left[0])
        left.remove(free)
        done.append(free)
    return done


def _target(job: Job) -> str:
    return "" if job.into is None else job.into.id


def _row(job: Job, jobs: Iterable[Job]) -> Shape:
    tree = job.facts.tree
    return {
        "tree": tree.id,
        "name": tree.name,
        "sentence": _when(job.window),
        "why": f"{tree.id}:{job.window.operation}:opens",
        "into": pot_words(job.into),
        "frees": _frees(job, jobs),
        "mix": "" if job.ready is None else job.ready.recipe.code,
        "litres": "" if job.ready is None else show.litres(job.ready.gross_cm3),
        "note": job.note,
    }


def _when(window: WindowTold) -> str:
    """When the window is open, in a few words; the tree's own page says more."""
    closes = "" if window.closes is None else show.span(window.closes.low, window.closes.high)
    if window.state == "open" and closes:
        return _("open now, closes {span}").format(span=closes)
    if window.opens is None:
        return window.sentence
    said = _("opens {span}").format(span=show.span(window.opens.low, window.opens.high))
    return said + (_(", closes {span}").format(span=closes) if closes else "")


def _frees(job: Job, jobs: Iterable[Job]) -> str:
    said = []
    holder = None if job.into is None else job.into.tree
    if holder is not None and holder != job.facts.tree.id:
        first = next((each.facts.tree.name for each in jobs if each.facts.tree.id == holder), "")
        said.append(
            _("after {name}, which stands in it").format(name=first)
            if first
            else _("{tree} stands in it and is not due").format(tree=holder)
        )
    if job.frees:
        said.append(_("frees {pot}").format(pot=job.frees))
    return "; ".join(said) or (_("back into its own pot") if job.into is not None else "")


def _batch(batch: Batch) -> Shape:
    from ringwise.rootzone.components import component_name

    scoops = dict(batch.scoops)
    return {
        "mix": batch.recipe.code,
        "words": batch.recipe.words,
        "made": show.litres(batch.made_cm3),
        "left": show.litres(batch.leftover_cm3),
        "parts": [
            {
                "words": component_name(key),
                "shown": show.litres(scoops[key] * batch.scoop_cm3),
                "scoops": scoops[key],
            }
            for key, _volume in batch.parts_cm3
        ],
    }


def _shopping(made: Iterable[Batch]) -> list[Shape]:
    from ringwise.rootzone.components import component_name

    scoops: dict[str, int] = {}
    scoop_cm3 = 0.0
    for batch in made:
        scoop_cm3 = batch.scoop_cm3
        for key, count in batch.scoops:
            scoops[key] = scoops.get(key, 0) + count
    return [
        {"words": component_name(key), "shown": show.litres(count * scoop_cm3), "scoops": count}
        for key, count in scoops.items()
    ]
