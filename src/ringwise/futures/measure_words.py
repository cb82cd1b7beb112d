"""A measure of a tree in words: its label, unit, and what more and less of it is called."""

from __future__ import annotations

from functools import cache

from ringwise.futures.view import MeasureText
from ringwise.kit.errors import unknown_name
from ringwise.kit.reading import current_reading
from ringwise.kit.words import _


def measure_text(measure: str) -> MeasureText:
    """A measure's label, unit and the words for more and less of it.

    Parameters
    ----------
    measure : str
        Its key.

    Returns
    -------
    MeasureText
        For the page.

    Raises
    ------
    UnknownNameError
        If there is no such measure.

    Source
    ------
    own.

    Examples
    --------
    >>> measure_text("base_mm").more
    'thicker'
    """
    words = _words_in(current_reading().language)
    if measure not in words:
        raise unknown_name(_("measure"), measure, words)
    label, unit, more, less = words[measure]
    return MeasureText(measure, label, unit, more, less)


_Words = dict[str, tuple[str, str, str, str]]


@cache
def _words_in(_language: str) -> _Words:
    """All measures in the language of the wish, looked up once for each."""
    return {**_size_words(), **_branch_words(), **_leader_words(), **_health_words(), **_second_words()}


def _size_words() -> _Words:
    return {
        "base_mm": (_("Trunk above the root flare"), "mm", _("thicker"), _("thinner")),
        "girth_mm": (_("Girth above the root flare"), "mm", _("larger in girth"), _("smaller in girth")),
        "base_gain_ratio": (_("Trunk against today"), "ratio", _("thicker"), _("thinner")),
        "height_mm": (_("Height"), "mm", _("taller"), _("lower")),
        "height_to_base_ratio": (
            _("Height against the trunk's base"),
            "ratio",
            _("more slender"),
            _("stouter"),
        ),
        "spread_mm": (_("Spread"), "mm", _("wider"), _("narrower")),
        "spread_to_height_ratio": (
            _("Spread against the height"),
            "ratio",
            _("wider for its height"),
            _("narrower for its height"),
        ),
        "taper_ratio": (
            _("Trunk at half height against the base"),
            "ratio",
            _("with less taper"),
            _("with more taper"),
        ),
    }


def _branch_words() -> _Words:
    return {
        "tips_n": (_("Tips"), "count", _("with more tips"), _("with fewer tips")),
        "tips_dm2": (
            _("Tips for each dm² of the silhouette's box"),
            "number",
            _("with denser tips"),
            _("with sparser tips"),
        ),
        "leaf_cm2": (_("Leaf area"), "cm2", _("with more leaf"), _("with less leaf")),
        "strahler_n": (
            _("Order of branching"),
            "count",
            _("more finely branched"),
            _("more coarsely branched"),
        ),
        "internode_mm": (
            _("Last internodes"),
            "mm",
            _("with longer last internodes"),
            _("with shorter last internodes"),
        ),
        "first_branch_frac": (
            _("First branch, as a share of the height"),
            "frac",
            _("with a higher first branch"),
            _("with a lower first branch"),
        ),
        "branch_ratio": (
            _("Lowest branch against the trunk there"),
            "ratio",
            _("with a thicker lowest branch"),
            _("with a thinner lowest branch"),
        ),
    }


def _leader_words() -> _Words:
    return {
        "leader_frac": (
            _("Height up to which one line leads"),
            "frac",
            _("led higher by one line"),
            _("parting lower down"),
        ),
        "leader_wood_frac": (
            _("Leader's share of the wood above the first branch"),
            "frac",
            _("with a stronger leader"),
            _("with stronger limbs"),
        ),
    }


def _health_words() -> _Words:
    return {
        "sectors_n": (
            _("Root sectors filled (of 12)"),
            "count",
            _("with more root sectors filled"),
            _("with fewer root sectors filled"),
        ),
        "wound_mm": (
            _("Widest open wound"),
            "mm",
            _("with a wider open wound"),
            _("with a smaller open wound"),
        ),
        "wounds_n": (_("Open wounds"), "count", _("with more open wounds"), _("with fewer open wounds")),
        "decayed_n": (
            _("Wounds that decay"),
            "count",
            _("with more decay"),
            _("with less decay"),
        ),
        "bite_mm": (_("Deepest wire mark"), "mm", _("with a deeper wire mark"), _("with a lesser wire mark")),
        "faults_n": (
            _("Kinds of hard faults"),
            "count",
            _("with more kinds of faults"),
            _("with fewer kinds of faults"),
        ),
        "graft_mm": (
            _("Grafted branch at its foot"),
            "mm",
            _("with a thicker grafted branch"),
            _("with a thinner grafted branch"),
        ),
    }


def _second_words() -> _Words:
    return {
        "second_kept": (_("Second tree alive"), "frac", _("more often with a second tree"), ""),
        "second_base_mm": (
            _("Second tree: trunk"),
            "mm",
            _("with a thicker second tree"),
            _("with a thinner second tree"),
        ),
        "second_height_mm": (
            _("Second tree: height"),
            "mm",
            _("with a taller second tree"),
            _("with a lower second tree"),
        ),
        "second_tips_n": (
            _("Second tree: tips"),
            "count",
            _("with more tips on the second tree"),
            _("with fewer tips on the second tree"),
        ),
    }
