"""What a worksheet says in words: why now, what is known of the tree, aftercare, position."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from ringwise.kit.show import day, length, number, odds, span
from ringwise.kit.words import _, from_data
from ringwise.operations.base import ROOTS_ACTIVE, Aftercare, Operation
from ringwise.operations.conflicts import is_heavy
from ringwise.phenology.stages import ORDER, stage
from ringwise.records.date_shown import date_shown
from ringwise.season.window import AHEAD, CLOSED, OPEN, SURE_PROB
from ringwise.season.worksheet_content import Duty, Phase, WhyNow

if TYPE_CHECKING:
    from ringwise.records.facts import TreeFacts
    from ringwise.rootzone.potting import Potting
    from ringwise.season.window import Window

CONIFERS = frozenset({"G5", "G6"})


def why_now(operation: Operation, window: Window | None, reason: str) -> WhyNow:
    """Why the work is due, and how long its window stays open.

    Parameters
    ----------
    operation : Operation
        The work.
    window : Window or None
        Its window on this tree; None where none was forecast.
    reason : str
        The cue that makes it due; the catalogue's reason where empty.

    Returns
    -------
    WhyNow
        A headline, lines and what blocks it.

    Source
    ------
    own: wording; the window brings its own chain.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS
    >>> why_now(OPERATIONS["repot"], None, "drains in 65 s").headline
    'No window was forecast: go by the buds'
    """
    said = reason or from_data(operation.why)
    if window is None:
        return WhyNow(said, "", _("No window was forecast: go by the buds"), (), (), None)
    return WhyNow(
        said, window.state, _headline(window), _window_lines(window), window.blocked_by, window.trace
    )


def _headline(window: Window) -> str:
    if window.too_short and window.state == CLOSED:
        return _("The season here is too short for it")
    opens = _("by sign") if window.opens is None else day(window.opens.median)
    if window.opens is not None and window.closes is None and window.state in {AHEAD, OPEN}:
        return _open_end(window, opens)
    closes = _("by sign") if window.closes is None else day(window.closes.median)
    if window.state == OPEN and window.open_prob < SURE_PROB:
        return _("May be open ({odds}): look for the sign. Closes about {closes}").format(
            odds=odds(window.open_prob), closes=closes
        )
    if window.state == OPEN:
        return _("Open now, closes about {closes}").format(closes=closes)
    if window.state == AHEAD:
        return _("Opens about {opens}, closes about {closes}").format(opens=opens, closes=closes)
    if window.state == CLOSED:
        return _("Past its window, which closed about {closes}").format(closes=closes)
    return _("Blocked: read why before anything is cut")


def _open_end(window: Window, opens: str) -> str:
    """A window that opens on a day and whose end only a sign tells."""
    if window.state == AHEAD:
        return _("Opens about {opens}, closes by sign").format(opens=opens)
    if window.open_prob < SURE_PROB:
        return _("May be open ({odds}): look for the sign. Closes by sign").format(
            odds=odds(window.open_prob)
        )
    return _("Open now, closes by sign")


def _window_lines(window: Window) -> tuple[str, ...]:
    lines = []
    bands = []
    if window.opens is not None and window.state != OPEN:
        bands.append(_("opens {band}").format(band=span(window.opens.low, window.opens.high)))
    if window.closes is not None:
        bands.append(_("closes {band}").format(band=span(window.closes.low, window.closes.high)))
    if bands:
        lines.append(_("Eight times in ten: {bands}.").format(bands=", ".join(bands)))
    if window.sign:
        lines.append(_("Sign to start: {sign}.").format(sign=window.sign.rstrip(".")))
    if window.closes_by:
        lines.append(_("Over when: {sign}.").format(sign=window.closes_by.rstrip(".")))
    if window.note:
        lines.append(window.note)
    return tuple(lines)


def tree_lines(facts: TreeFacts) -> tuple[str, ...]:
    """What is known of the tree, for the head of the sheet; what is unknown is left out.

    Parameters
    ----------
    facts : TreeFacts
        The tree.

    Returns
    -------
    tuple of str
        Short phrases.

    Source
    ------
    own: wording.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.records.facts import tree_facts
    >>> from ringwise.records.model import Tree
    >>> elm = Tree("T1", "Wren", "Ulmus procera")
    >>> facts = tree_facts(elm, entries=[], pots=[], places=[], on=date(2027, 3, 7))
    >>> tree_lines(facts)
    ()
    """
    known = [
        None if facts.vigour is None else _("vigour {n} of 5").format(n=facts.vigour),
        None if facts.trunk_mm is None else _("trunk {size}").format(size=length(facts.trunk_mm)),
        None if facts.height_mm is None else _("height {size}").format(size=length(facts.height_mm)),
        None
        if facts.drain_seconds is None
        else _("drains in {n} s").format(n=number(facts.drain_seconds, 3)),
        None
        if facts.last_repot is None
        else _("last repot {when}").format(when=date_shown(facts.last_repot)),
    ]
    return tuple(text for text in known if text)


def amount_words(root_removed_frac: float | None) -> str:
    """How much root the plan takes, in words.

    Parameters
    ----------
    root_removed_frac : float or None
        Share of roots to be removed.

    Returns
    -------
    str
        Light or heavy; the cautious end where it is not said.

    Source
    ------
    practice: heavy from 30 percent.

    Examples
    --------
    >>> amount_words(0.15)
    'light root work, 15 % off'
    """
    if root_removed_frac is None:
        return _("amount of root not said: taken as heavy")
    percent = number(100 * root_removed_frac, 2)
    kind = _("heavy") if is_heavy(root_removed_frac) else _("light")
    return _("{kind} root work, {n} % off").format(kind=kind, n=percent)


def phases(duties: Sequence[Aftercare], *, group: str) -> tuple[Phase, ...]:
    """Aftercare in its two phases; no duty ends by a date alone.

    Parameters
    ----------
    duties : sequence of Aftercare
        In the variant that fits.
    group : str
        The tree's group, for the words of its stages.

    Returns
    -------
    tuple of Phase
        Bare, in leaf, all through; empty ones are left out.

    Source
    ------
    practice: frost and drying guard while bare, shade and wind only from the first unfolded leaf on.

    Examples
    --------
    >>> from ringwise.operations.registry import OPERATIONS, aftercare
    >>> [phase.title for phase in phases(aftercare(OPERATIONS["repot"], 0.2), group="G2")]
    ['While bare', 'From the first open leaf', 'All through']
    """
    titles = {
        "bare": _("While bare"),
        "leaf": _("From the first open leaf"),
        "any": _("All through"),
    }
    found = []
    for phase, title in titles.items():
        lines = tuple(_duty(each, group) for each in duties if each.phase == phase)
        if lines:
            found.append(Phase(title, lines))
    return tuple(found)


def _duty(duty: Aftercare, group: str) -> Duty:
    ends = _(" and ").join(_sign(code, group) for code in duty.ends)
    if duty.least_days is not None:
        ends = _("{n} days at least, and {signs}").format(n=number(duty.least_days, 3), signs=ends)
    return Duty(from_data(duty.do), ends)


def _sign(code: str, group: str) -> str:
    if code == ROOTS_ACTIVE:
        return _("roots active")
    if code in ORDER:
        found = stage(code)
        return found.conifer_words if group in CONIFERS else found.words
    return from_data(code)


def position(facts: TreeFacts, potting: Potting | None) -> tuple[str, ...]:
    """Where the tree is set, by the clock seen from above with the recorded front at 6.

    Parameters
    ----------
    facts : TreeFacts
        The tree with its front mark.
    potting : Potting or None
        The destination pot.

    Returns
    -------
    tuple of str
        Lines; a front that was never marked is asked for.

    Source
    ------
    practice: centred as seen from the front, in a long pot a little behind the middle.

    Examples
    --------
    >>> from datetime import date
    >>> from ringwise.records.facts import tree_facts
    >>> from ringwise.records.model import Tree
    >>> elm = Tree("T1", "Wren", "Ulmus procera")
    >>> facts = tree_facts(elm, entries=[], pots=[], places=[], on=date(2027, 3, 7))
    >>> position(facts, None)[0][:13]
    'No front mark'
    """
    mark = facts.tree.front_mark
    if mark:
        lines = [_("Front at 6 o'clock, seen from above: {mark}.").format(mark=mark)]
    else:
        lines = [_("No front mark is recorded: mark 6 o'clock on pot foot and trunk before it comes out.")]
    if potting is not None:
        left, front = potting.place.left_mm, potting.place.front_mm
        lines.append(
            _("Trunk centre {left} from the left wall, {front} from the front: as set ____ / ____.").format(
                left=length(left), front=length(front)
            )
        )
        lines.append(surface_line())
    return tuple(lines)


def surface_line() -> str:
    """The rule for the flare and the slope of the surface.

    Returns
    -------
    str
        One line.

    Source
    ------
    practice: the surface slopes gently from the flare to the rim.

    Examples
    --------
    >>> surface_line()[:5]
    'Flare'
    """
    return _("Flare just proud, surface sloping gently from it to the lowest rim.")
