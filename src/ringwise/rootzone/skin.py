"""What the sun finds on a pot: walls of a colour, an open surface, a place, and what shades or hides them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import Parameter, load_table
from ringwise.kit.words import _
from ringwise.rootzone.core import PotCore, pot_core, top_surface_m2, wall_surface_m2
from ringwise.rootzone.pot import PotShape

ROOM, TABLE = "ringwise.rootzone", "heat"
TONES = ("dark", "mid", "light", "terracotta")
COVERS = ("cloth", "board", "huddle")


@dataclass(frozen=True)
class PotSkin:
    """A pot's walls and surface as sun and wind find them.

    `tone` is one of `TONES`; `told` says whether the record named colour or material. Walls take up
    `absorbed_frac` of the sun and keep `kept_frac` of that as heat. `lit_frac` is what a cover lets through,
    `hidden_frac` what other pots hide.
    """

    walls_m2: float
    top_m2: float
    tone: str
    told: bool
    absorbed_frac: float
    kept_frac: float = 1.0
    lit_frac: float = 1.0
    hidden_frac: float = 0.0

    @property
    def open_walls_m2(self) -> float:
        """The walls that meet the air."""
        return self.walls_m2 * (1.0 - self.hidden_frac)

    @property
    def taken_frac(self) -> float:
        """The share of the sun before its walls that becomes heat in them."""
        return self.absorbed_frac * self.kept_frac * self.lit_frac * (1.0 - self.hidden_frac)


@dataclass(frozen=True)
class PotHeat:
    """A pot as sun, wind and frost find it: its lump of heat and its skin."""

    core: PotCore
    skin: PotSkin

    @property
    def lag_min(self) -> float:
        """The core's lag in the wind of the table, in minutes."""
        return self.core.lag_min

    @property
    def surface_m2(self) -> float:
        """Top and walls as far as they meet the air."""
        return self.skin.top_m2 + self.skin.open_walls_m2


def heat_row(key: str, parameter: str) -> Parameter:
    """A row of heat.csv.

    Parameters
    ----------
    key, parameter : str
        As in the table.

    Returns
    -------
    Parameter
        With its provenance.

    Source
    ------
    The rows name their own.

    Examples
    --------
    >>> heat_row("dark", "absorbed_frac").number
    0.9
    """
    return load_table(ROOM, TABLE).get(key, parameter)


@lru_cache(maxsize=512)
def pot_tone(colour: str, material: str) -> tuple[str, bool, bool]:
    """How a pot takes up the sun, from the words of its record.

    Parameters
    ----------
    colour, material : str
        In the grower's words; may be blank.

    Returns
    -------
    (str, bool, bool)
        One of `TONES`, whether the words told it, and whether the wall is porous. The first word of the
        colour that the table knows decides: "red-brown" is red, "dark red" is dark.

    Source
    ------
    own: words of heat.csv.

    Examples
    --------
    >>> pot_tone("red-brown", "clay"), pot_tone("", "glazed stoneware"), pot_tone("dunkelbraun", "Steinzeug")
    (('mid', True, True), ('mid', False, False), ('dark', True, False))
    """
    made_of = _tokens(material)
    porous = _names("terracotta", made_of) and not _names("glazed", made_of)
    for token in (*_tokens(colour), *made_of):
        for tone in ("light", "dark", "mid"):
            if _names(tone, [token]):
                return tone, True, porous
    return ("terracotta", True, True) if porous else ("mid", False, False)


def _tokens(words: str) -> list[str]:
    return [token for token in re.split(r"\W+", words.casefold()) if token]


def _names(key: str, tokens: list[str]) -> bool:
    words = heat_row(key, "words").items
    return any(token.startswith(word) for token in tokens for word in words)


def pot_heat(pot: PotShape, *, colour: str = "", material: str = "", water_v: float | None = None) -> PotHeat:
    """A pot of wet mix as sun and wind find it.

    Parameters
    ----------
    pot : PotShape
        Its inside, filled.
    colour, material : str
        In the grower's words.
    water_v : float, optional
        Water in the mix by volume; by default the row's.

    Returns
    -------
    PotHeat
        In the open, with nothing before its walls.

    Raises
    ------
    RangeError
        If the water is no share of the volume.

    Source
    ------
    own, as `pot_core` and `pot_tone`.

    Examples
    --------
    >>> from ringwise.rootzone.pot import PotLengths, pot_shape
    >>> tray = pot_shape("rectangle", PotLengths(depth_mm=70, top_mm=(300, 220), bottom_mm=(260, 180)))
    >>> pot_heat(tray, colour="black").skin.absorbed_frac
    0.9
    """
    tone, told, porous = pot_tone(colour, material)
    skin = PotSkin(
        walls_m2=wall_surface_m2(pot),
        top_m2=top_surface_m2(pot),
        tone=tone,
        told=told,
        absorbed_frac=heat_row(tone, "absorbed_frac").number,
        kept_frac=heat_row("terracotta", "kept_frac").number if porous else 1.0,
    )
    return PotHeat(pot_core(pot, water_v=water_v), skin)


def covered(pot: PotHeat, cover: str) -> PotHeat:
    """The same pot with its wall shaded or hidden.

    Parameters
    ----------
    pot : PotHeat
        From `pot_heat`.
    cover : str
        "cloth" or "board" before the wall, or "huddle": set close to others.

    Returns
    -------
    PotHeat
        The surface and the crown above it stay as they are.

    Raises
    ------
    UnknownNameError
        If there is no such cover.

    Source
    ------
    practice: rows of heat.csv.

    Examples
    --------
    >>> bare = PotHeat(PotCore(7.9, 0.133, 15.0, 0.35, 3929.0), PotSkin(0.067, 0.066, "dark", True, 0.9))
    >>> covered(bare, "board").skin.taken_frac < covered(bare, "cloth").skin.taken_frac
    True
    """
    if cover not in COVERS:
        raise unknown_name(_("cover of a pot"), cover, COVERS)
    skin = pot.skin
    if cover == "huddle":
        hidden = heat_row("huddle", "hidden_frac").number
        return replace(pot, skin=replace(skin, hidden_frac=max(skin.hidden_frac, hidden)))
    lit = min(skin.lit_frac, heat_row(cover, "let_through_frac").number)
    return replace(pot, skin=replace(skin, lit_frac=lit))


def tone_words(tone: str) -> str:
    """A tone of a pot in words.

    Parameters
    ----------
    tone : str
        One of `TONES`.

    Returns
    -------
    str
        In the reader's language.

    Source
    ------
    own.

    Examples
    --------
    >>> tone_words("mid")
    'of a middling colour'
    """
    return {
        "dark": _("dark in colour"),
        "mid": _("of a middling colour"),
        "light": _("light in colour"),
        "terracotta": _("of unglazed clay"),
    }[tone]
