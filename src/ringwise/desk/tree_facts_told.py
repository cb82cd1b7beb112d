"""What is known of a tree, fact by fact: number, text, the day it was seen, the entry behind it."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING

from ringwise.desk.shapes import Shape
from ringwise.desk.told import maybe_day, told
from ringwise.desk.training_words import vigour_words
from ringwise.kit import show
from ringwise.kit.words import _, counted
from ringwise.records.observations import POT_EMPTY
from ringwise.season.cues import DAYS_PER_YEAR

if TYPE_CHECKING:
    from ringwise.records.dates import FuzzyDate
    from ringwise.records.facts import TreeFacts
    from ringwise.records.model import Entry, Pot
    from ringwise.rootzone.pot import PotShape


@dataclass(frozen=True)
class Fact:
    """Something known of a tree. `entry` is where it was written down; a computed one has none."""

    key: str
    label: str
    value: float
    shown: str
    on: FuzzyDate | None
    entry: Entry | None
    computed_from: Entry | None = None


def newest(facts: TreeFacts, kind: str, key: str) -> Entry | None:
    """The newest entry that measured something on a tree.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    kind : str
        Of the entry.
    key : str
        Of its data.

    Returns
    -------
    Entry or None
        None where it was never measured.
    """
    found = (e for e in reversed(facts.entries) if e.kind == kind and e.data.get(key) is not None)
    return next((e for e in found if e.data.get("moment") != POT_EMPTY), None)


# What is measured: kind of entry, key of its data, key of the fact.
MEASURED = (
    ("trunk", "diameter_mm", "trunk_mm"),
    ("girth", "girth_mm", "girth_mm"),
    ("height", "height_mm", "height_mm"),
    ("vigour", "score", "vigour"),
    ("days_dry", "days", "days_to_dry"),
    ("drain", "seconds", "drain_seconds"),
    ("weight", "mass_g", "mass_g"),
)


def fact_labels() -> dict[str, str]:
    """The names of facts, in the reader's language.

    Returns
    -------
    dict of str to str
        By key, in the order in which they are shown.

    Examples
    --------
    >>> fact_labels()["girth_mm"]
    'girth at the base'
    """
    return {
        "trunk_mm": _("trunk"),
        "girth_mm": _("girth at the base"),
        "height_mm": _("height"),
        "vigour": _("vigour"),
        "age": _("age"),
        "days_to_dry": _("days from full to watering"),
        "drain_seconds": _("drain time"),
        "mass_g": _("weight"),
        "last_repot": _("years since the last repot"),
        "pot_volume": _("inside volume of the pot"),
    }


def fact_shown(key: str, value: float) -> str:
    """A fact's number with its unit, in the reader's language and units.

    Parameters
    ----------
    key : str
        Of the fact.
    value : float
        In the unit used inside.

    Returns
    -------
    str
        One line.

    Examples
    --------
    >>> fact_shown("trunk_mm", 41.0), fact_shown("vigour", 3.0), fact_shown("days_to_dry", 1.2)
    ('41 mm', '3, steady', '1.2 days')
    """
    if key in {"trunk_mm", "girth_mm", "height_mm"}:
        return show.length(value)
    if key == "vigour":
        return f"{round(value)}, {vigour_words(round(value))[0]}"
    if key == "days_to_dry":
        return _("1 day") if value == 1 else _("{n} days").format(n=show.number(value))
    if key == "drain_seconds":
        return f"{show.number(value, 3)} s"
    if key == "mass_g":
        return show.mass(value)
    if key == "pot_volume":
        return show.litres(value)
    return years_words(value)


def years_words(years: float) -> str:
    """A number of years for people.

    Parameters
    ----------
    years : float
        Not negative.

    Returns
    -------
    str
        Whole years from two on, months before.

    Examples
    --------
    >>> years_words(28.4), years_words(0.5)
    ('28 years', '6 months')
    """
    if years < 2:
        return counted("{n} month", "{n} months", round(years * 12))
    return counted("{n} year", "{n} years", math.floor(years))


def years_between(when: date, today: date) -> float:
    """Years from a day to another."""
    return (today - when).days / DAYS_PER_YEAR


def age_words(started: FuzzyDate, today: date) -> str:
    """How old a tree is, as exactly as its beginning is known.

    Parameters
    ----------
    started : FuzzyDate
        When it began.
    today : date
        The day of asking.

    Returns
    -------
    str
        Blank where nothing is known.

    Examples
    --------
    >>> from ringwise.records.dates import parse_fuzzy_date
    >>> age_words(parse_fuzzy_date("1998", field="started"), date(2027, 3, 7))
    '28 to 29 years'
    >>> age_words(parse_fuzzy_date("before 2019", field="started"), date(2027, 3, 7))
    'over 8 years'
    """
    if started.latest is None:
        if started.earliest is None:
            return ""
        most = max(0.0, years_between(started.earliest, today))
        return _("at most {years}").format(years=years_words(most))
    least = max(0.0, years_between(started.latest, today))
    if started.earliest is None:
        return _("over {years}").format(years=years_words(least))
    most = max(least, years_between(started.earliest, today))
    if math.floor(most) == math.floor(least) or most < 2:
        return years_words(most)
    return _("{least} to {most} years").format(least=math.floor(least), most=math.floor(most))


def inside(pot: Pot | None) -> PotShape | None:
    """The inside of a pot as measured; None where it was not, or for a tree in the ground."""
    from ringwise.rootzone.pot import PotLengths, pot_shape

    if pot is None or pot.length_mm is None or pot.depth_mm is None or pot.shape == "ground":
        return None
    lengths = PotLengths(pot.length_mm, None if pot.shape == "round" else pot.width_mm, pot.depth_mm)
    return pot_shape(pot.shape, lengths)


def facts_known(facts: TreeFacts, *, today: date) -> list[Fact]:
    """Every fact of a tree that is known, in the order in which they are shown.

    Parameters
    ----------
    facts : TreeFacts
        Of the tree.
    today : date
        The day of asking.

    Returns
    -------
    list of Fact
        A girth or a width that was not measured follows from the other where that was.
    """
    labels = fact_labels()
    found: dict[str, Fact] = {}
    for kind, key, name in MEASURED:
        entry = newest(facts, kind, key)
        if entry is not None:
            value = float(str(entry.data[key]))
            found[name] = Fact(name, labels[name], value, fact_shown(name, value), entry.on, entry)
    for name, other, factor in (("girth_mm", "trunk_mm", math.pi), ("trunk_mm", "girth_mm", 1 / math.pi)):
        source = found.get(other)
        if name not in found and source is not None and source.entry is not None:
            value = source.value * factor
            shown = fact_shown(name, value)
            found[name] = Fact(name, labels[name], value, shown, source.on, None, source.entry)
    found |= _of_time(facts, labels, today)
    shape = inside(facts.pot)
    if shape is not None:
        volume = shape.volume_cm3
        found["pot_volume"] = Fact(
            "pot_volume", labels["pot_volume"], volume, show.litres(volume), None, None
        )
    return [found[name] for name in labels if name in found]


def _of_time(facts: TreeFacts, labels: dict[str, str], today: date) -> dict[str, Fact]:
    found: dict[str, Fact] = {}
    started = facts.tree.started
    middle = started.middle or started.by
    if middle is not None and middle <= today:
        years = years_between(middle, today)
        found["age"] = Fact("age", labels["age"], years, age_words(started, today), started, None)
    repot = facts.last_repot
    when = None if repot is None else repot.middle or repot.by
    if repot is not None and when is not None and when <= today:
        years = years_between(when, today)
        work = next((w for w in reversed(facts.works) if w.on == repot), None)
        found["last_repot"] = Fact(
            "last_repot", labels["last_repot"], years, years_words(years), repot, None, work
        )
    return found


def fact_shape(tree: str, fact: Fact) -> Shape:
    """A fact as a room shows it.

    Parameters
    ----------
    tree : str
        Its id.
    fact : Fact
        Of the tree.

    Returns
    -------
    dict
        Keys key, label, told, on and entry.
    """
    entry = fact.entry or fact.computed_from
    return {
        "key": fact.key,
        "label": fact.label,
        "told": told(fact.value, fact.shown, f"{tree}:fact:{fact.key}"),
        "on": maybe_day(fact.on),
        "entry": None if entry is None else entry.id,
    }
