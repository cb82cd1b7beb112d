"""Stages of bud and leaf: two-digit BBCH codes in order, our own two states, our own short words."""

from __future__ import annotations

from dataclasses import dataclass

from ringwise.kit.errors import unknown_name
from ringwise.kit.words import _

# Leaf stages in the order in which a tree passes them; "H1" (first leaves hardened) is our own.
ORDER = ("00", "01", "03", "07", "09", "10", "11", "15", "19", "H1", "91", "92", "93", "95", "97")
SPRING = ORDER[1:11]  # timed by the spring clock
AUTUMN = ORDER[11:]  # timed by the autumn clock; evergreens have none
FLOWER = ("51", "55", "59", "60", "61", "65", "67", "69")
HALF_FRAC = 0.5  # from this share of the samples on, what happens in them decides what is told
STATES = ("RA",)  # our own, outside the order: roots active after root work
ALL = (*ORDER, *FLOWER, *STATES)
CONIFER_GROUPS = frozenset({"G5", "G6"})
EVERGREEN_GROUPS = frozenset({"G6", "G7"})


@dataclass(frozen=True)
class Stage:
    """A stage: its code, what a grower sees on a broadleaf, and what on a conifer."""

    code: str
    words: str
    conifer_words: str

    def words_for(self, group: str) -> str:
        """What a grower sees on a tree of a group (G1 to G7)."""
        return self.conifer_words if group in CONIFER_GROUPS else self.words


def stage(code: str) -> Stage:
    """The stage with a code.

    Parameters
    ----------
    code : str
        One of `ALL`, in any case.

    Returns
    -------
    Stage
        With its words in the user's language.

    Raises
    ------
    UnknownNameError
        If there is no such code.

    Source
    ------
    meier2001 (codes); words and the states H1 and RA: own reasoning.

    Examples
    --------
    >>> stage("07").words
    'first green just shows at the bud tip'
    >>> stage("h1").code
    'H1'
    """
    wanted = code.strip().upper()
    if wanted not in ALL:
        raise unknown_name(_("stage"), code, ALL)
    words, conifer = (_LEAF_WORDS | _LATE_WORDS | _FLOWER_WORDS)[wanted]()
    return Stage(wanted, words, conifer)


def place(code: str) -> int:
    """Where a leaf stage stands in `ORDER`.

    Parameters
    ----------
    code : str
        A code of `ORDER`.

    Returns
    -------
    int
        0 for "00".

    Raises
    ------
    UnknownNameError
        If the code is no leaf stage.

    Source
    ------
    meier2001.

    Examples
    --------
    >>> place("03") < place("H1") < place("97")
    True
    """
    if code not in ORDER:
        raise unknown_name(_("leaf stage"), code, ORDER)
    return ORDER.index(code)


def codes_of(group: str, leaf_habit: str = "") -> tuple[str, ...]:
    """The leaf stages that a kind of tree goes through.

    Parameters
    ----------
    group : str
        Group of trees, G1 to G7.
    leaf_habit : str
        D, DC, E, EC or SE; evergreen habits have no autumn stages.

    Returns
    -------
    tuple of str
        In order.

    Source
    ------
    own reasoning.

    Examples
    --------
    >>> codes_of("G6")[-1], codes_of("G1")[-1]
    ('91', '97')
    """
    evergreen = group in EVERGREEN_GROUPS or leaf_habit in {"E", "EC"}
    return tuple(code for code in ORDER if not (evergreen and code in AUTUMN))


# Functions, so that the words are looked up in the user's language when they are shown.
_LEAF_WORDS = {
    "00": lambda: (_("asleep, buds tight"), _("asleep, buds tight and dull")),
    "01": lambda: (_("buds begin to swell"), _("buds begin to swell")),
    "03": lambda: (
        _("buds fully swollen, scales apart, no green"),
        _("buds fully swollen, scales about to part"),
    ),
    "07": lambda: (_("first green just shows at the bud tip"), _("first green between the scales")),
    "09": lambda: (_("green tips stand clear of the scales"), _("green brush or candle clear of the scales")),
    "10": lambda: (
        _("leaf tips part, still folded"),
        _("needles begin to spread, candle about a finger long"),
    ),
    "11": lambda: (_("first leaf open in its shape"), _("first needles open")),
    "15": lambda: (_("several leaves open, not full size"), _("needles half length")),
    "19": lambda: (_("first leaves at full size"), _("needles at full length, soft")),
    "H1": lambda: (_("first leaves dark, firm, snapping when bent"), _("needles hard and dark")),
    "91": lambda: (_("shoots have stopped, end bud set"), _("shoots have stopped, end bud set")),
}
_LATE_WORDS = {
    "92": lambda: (_("colouring begins"), _("needles begin to colour")),
    "93": lambda: (_("first leaves fall"), _("first needles fall")),
    "95": lambda: (_("half the leaves coloured or down"), _("half the needles coloured or down")),
    "97": lambda: (_("bare"), _("bare")),
    "RA": lambda: (
        _("roots active: white tips at a hole, or the pot dries fast again"),
        _("roots active: white tips at a hole, or the pot dries fast again"),
    ),
}
_FLOWER_WORDS = {
    "51": lambda: (_("flower buds swell"), _("cone buds swell")),
    "55": lambda: (_("flower buds can be seen"), _("cone buds can be seen")),
    "59": lambda: (_("petals show"), _("cones show colour")),
    "60": lambda: (_("first flowers open"), _("first pollen")),
    "61": lambda: (_("one flower in ten open"), _("a tenth of the pollen shed")),
    "65": lambda: (_("full flower"), _("full pollen shed")),
    "67": lambda: (_("flowers fade"), _("pollen nearly over")),
    "69": lambda: (_("all petals down"), _("pollen over")),
}
