"""A mix for a purpose: which recipes to compare, what each asks in feed, how it meets the old soil."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.errors import unknown_name
from ringwise.kit.show import length, number
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.words import _, from_data
from ringwise.rootzone.mix import Recipe, recipe, recipe_codes
from ringwise.rootzone.pot import PotShape

PURPOSES = ("build", "hold", "refine", "rescue")


@dataclass(frozen=True)
class Site:
    """What changes a mix: rain in mm a year and evaporating power of the hottest week, None where unknown."""

    rain_mm_year: float | None = None
    hottest_et0_mm_day: float | None = None


@dataclass(frozen=True)
class Modifier:
    """A change worth comparing, and why; never made of itself."""

    recipe: Recipe
    why: str


def purpose_row(key: str, parameter: str) -> Parameter:
    """A row of `data/purpose.csv`.

    Parameters
    ----------
    key, parameter : str
        As in the table.

    Returns
    -------
    Parameter
        With its basis.

    Source
    ------
    practice: the table names basis and source of each row.

    Examples
    --------
    >>> purpose_row("rescue", "recipes").items
    ('C', 'V')
    """
    return load_table("ringwise.rootzone", "purpose").get(key, parameter)


def checked_purpose(word: str) -> str:
    """A purpose as typed.

    Parameters
    ----------
    word : str
        Such as "Build".

    Returns
    -------
    str
        One of `PURPOSES`.

    Raises
    ------
    UnknownNameError
        If there is no such purpose.

    Source
    ------
    practice: four ends that a mix can serve.

    Examples
    --------
    >>> checked_purpose("Rescue ")
    'rescue'
    """
    folded = word.strip().casefold()
    if folded not in PURPOSES:
        raise unknown_name(_("purpose"), word, PURPOSES)
    return folded


def looks_for(purpose: str) -> str:
    """What a purpose asks of a mix.

    Parameters
    ----------
    purpose : str
        One of `PURPOSES`.

    Returns
    -------
    str
        A sentence's worth of words.

    Source
    ------
    practice: `data/purpose.csv`.

    Examples
    --------
    >>> looks_for("hold")
    'days between waterings, and grains that last until the next repotting'
    """
    return from_data(purpose_row(purpose, "looks_for").value)


def with_more(base: Recipe, component: str, parts_ratio: float) -> Recipe:
    """A recipe with more of one component.

    Parameters
    ----------
    base : Recipe
        The recipe.
    component : str
        Key of the component.
    parts_ratio : float
        Parts to add.

    Returns
    -------
    Recipe
        Its code names the change.

    Source
    ------
    own: bookkeeping of parts.

    Examples
    --------
    >>> with_more(recipe("D"), "lava", 1).parts
    (('akadama', 2.0), ('pumice', 1.0), ('lava', 2.0))
    """
    shares = dict(base.parts)
    shares[component] = shares.get(component, 0.0) + parts_ratio
    return Recipe(f"{base.code}+{component}", tuple(shares.items()), base.use, base.why)


def modifiers(base: Recipe, pot: PotShape, site: Site) -> tuple[Modifier, ...]:
    """Changes to a recipe that this pot and this place make worth comparing.

    Parameters
    ----------
    base : Recipe
        The recipe to start from.
    pot : PotShape
        The pot.
    site : Site
        Rain and heat, where known.

    Returns
    -------
    tuple of Modifier
        None of them is made of itself.

    Source
    ------
    practice: modifiers of the trade, `data/purpose.csv`.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths
    >>> from ringwise.rootzone.pot import pot_shape
    >>> tray = pot_shape("oval", PotLengths(300, 200, 40))
    >>> [each.recipe.code for each in modifiers(recipe("D"), tray, Site(rain_mm_year=950))]
    ['V', 'D+lava']
    """
    rows = load_table("ringwise.rootzone", "purpose").of("modifier")
    wet = site.rain_mm_year is not None and site.rain_mm_year > rows["wet_rain_mm"].number
    hot = site.hottest_et0_mm_day is not None and site.hottest_et0_mm_day >= rows["hot_et0_mm_day"].number
    found: list[Modifier] = []
    if pot.depth_mm < rows["shallow_mm"].number and wet != hot:
        other = _stepped(base, rows["by_retention"].items, -1 if wet else 1)
        if other is not None:
            why = (
                _("shallow pot ({depth} inside) in a wet place: coarser and more open")
                if wet
                else _("shallow pot ({depth} inside) in a hot place: holds more")
            )
            found.append(Modifier(other, why.format(depth=length(pot.depth_mm))))
    if wet and site.rain_mm_year is not None:
        why = _("rain of about {rain} mm a year: one more part of lava").format(
            rain=number(site.rain_mm_year, 2)
        )
        found.append(Modifier(with_more(base, "lava", rows["more_parts"].number), why))
    return tuple(found)


def _stepped(base: Recipe, order: tuple[str, ...], step: int) -> Recipe | None:
    if base.code not in order:
        return None
    at = order.index(base.code) + step
    return recipe(order[at]) if 0 <= at < len(order) and order[at] in recipe_codes() else None


def feed_words(cec_cmol_l: float) -> str:
    """How a mix wants feed, by what it can hold of it.

    Parameters
    ----------
    cec_cmol_l : float
        Cations that it exchanges, for each litre.

    Returns
    -------
    str
        In words; when it may be fed at all is another question.

    Source
    ------
    own: bounds of `data/purpose.csv`.

    Examples
    --------
    >>> feed_words(2.0)
    'keeps next to nothing: little and often'
    """
    rows = load_table("ringwise.rootzone", "purpose").of("feed")
    if cec_cmol_l < rows["little_cec_cmol_l"].number:
        return _("keeps next to nothing: little and often")
    if cec_cmol_l < rows["some_cec_cmol_l"].number:
        return _("keeps some: often, at half strength")
    return _("keeps much: fewer feeds do")


def texture_words(old_mm: tuple[float, float], new_mm: float) -> str:
    """How the new mix meets the old soil that stays.

    Parameters
    ----------
    old_mm : tuple of float
        Grain size that counts for the voids of the old soil, in mm: crumbled as it may be, and as potted.
    new_mm : float
        That of the new mix.

    Returns
    -------
    str
        In words, with what to do.

    Source
    ------
    practice: water stops at a border of textures; own: bounds of `data/purpose.csv`.

    Examples
    --------
    >>> texture_words((4.0, 4.5), 4.4)
    'acts as one with the old soil'
    >>> texture_words((1.8, 4.5), 4.4)
    'up to 2.4 times coarser than the old soil if that crumbled: look, comb it through where it did'
    """
    rows = load_table("ringwise.rootzone", "purpose").of("texture")
    slight, sharp = rows["slight_ratio"].number, rows["sharp_ratio"].number
    ratios = [max(each, new_mm) / min(each, new_mm) for each in old_mm]
    if max(ratios) < slight:
        return _("acts as one with the old soil")
    worst = old_mm[ratios.index(max(ratios))]
    side = _("coarser") if new_mm > worst else _("finer")
    if max(ratios) < sharp:
        return _("up to {ratio} times {side} than the old soil").format(
            ratio=number(max(ratios), 2), side=side
        )
    if min(ratios) >= sharp:
        return _(
            "{ratio} times {side} than the old soil: comb that through or wash its sector, or it stays wet"
        ).format(ratio=number(min(ratios), 2), side=side)
    return _(
        "up to {ratio} times {side} than the old soil if that crumbled: look, comb it through where it did"
    ).format(ratio=number(max(ratios), 2), side=side)
