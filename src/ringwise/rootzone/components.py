"""Components of mixes: what each holds, weighs and exchanges, with spread and provenance of each number."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache

from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import Table, load_table
from ringwise.kit.words import _, from_data
from ringwise.rootzone.spread import Amount, amount_of

NONE = Amount(0.0)
RULES = "any"  # key of the rows that hold for every component


@dataclass(frozen=True)
class Component:
    """A component of mixes as a bed of its own, before anything is mixed into it.

    `packing_frac` is the share of the bed that grains fill, pores inside them included. A granule has a
    sieve cut, from which the scale of its voids follows; what has none gives that scale. Without `void_n`
    that of one sieve cut holds. Without
    `grain_alpha_per_cm` its one pore system is that of the voids.
    """

    key: str
    name: str
    open_porosity_v: Amount
    packing_frac: Amount
    bulk_kg_l: Amount
    cut_mm: tuple[float, float] | None = None
    void_alpha_per_cm: Amount | None = None
    void_n: Amount | None = None
    grain_alpha_per_cm: Amount | None = None
    grain_n: Amount | None = None
    residual_v: Amount = NONE
    cec_cmol_kg: Amount | None = None
    ph: tuple[float, float] | None = None
    ks_cm_s: Amount | None = None
    mineral: bool = False
    breaks: bool = False
    provenance: str = ""
    own: bool = False

    @property
    def void_frac(self) -> float:
        """Share of the bed between the grains."""
        return 1.0 - self.packing_frac.value

    @property
    def grain_porosity_v(self) -> float:
        """Open pores inside the grains, as a share of the grains."""
        return max(0.0, (self.open_porosity_v.value - self.void_frac) / self.packing_frac.value)

    @property
    def effective_mm(self) -> float:
        """The one grain size whose voids drain like its own."""
        if self.cut_mm is not None:
            return sum(self.cut_mm) / 2.0
        alpha = self.void_alpha_per_cm or NONE
        return alpha.value / rule("void_alpha_per_cm_mm").value


def _table() -> Table:
    return load_table("ringwise.rootzone", "components")


@cache
def rule(parameter: str) -> Amount:
    """A value that holds for every component.

    Parameters
    ----------
    parameter : str
        Such as "void_alpha_per_cm_mm".

    Returns
    -------
    Amount
        With its spread.

    Source
    ------
    own: rows "any" of `data/components.csv`.

    Examples
    --------
    >>> rule("packing_index").value
    4.1
    """
    return amount_of(_table().get(RULES, parameter))


def component_keys() -> tuple[str, ...]:
    """Keys of the components that come with the package.

    Returns
    -------
    tuple of str
        In the order of the table.

    Source
    ------
    practice: components of the trade, `data/components.csv`.

    Examples
    --------
    >>> component_keys()[:3]
    ('akadama', 'pumice', 'lava')
    """
    return tuple(key for key in _table().keys() if key != RULES)  # noqa: SIM118


@cache
def _aliases() -> Mapping[str, str]:
    table = _table()
    pairs = {key: key for key in component_keys()}
    for key in component_keys():
        if table.has(key, "alias"):
            pairs |= dict.fromkeys(table.get(key, "alias").items, key)
    return pairs


def component_key(word: str) -> str:
    """The key that a word stands for: small letters, underscores, an alias resolved; else as it is.

    Parameters
    ----------
    word : str
        Such as "Clay granule".

    Returns
    -------
    str
        A key of the table, or the word as a key of the grower's own.

    Source
    ------
    practice: names of the trade.

    Examples
    --------
    >>> component_key("Clay granule"), component_key("sharp-grit")
    ('akadama', 'sharp_grit')
    """
    folded = "_".join(word.strip().casefold().replace("-", " ").replace("_", " ").split())
    return _aliases().get(folded, folded)


def component(word: str, own: Mapping[str, Component] | None = None) -> Component:
    """The component with a key or another of its names.

    Parameters
    ----------
    word : str
        Such as "pumice" or "clay_granule".
    own : mapping of str to Component, optional
        The grower's own, which come first.

    Returns
    -------
    Component
        With the spread of its numbers.

    Raises
    ------
    UnknownNameError
        If there is none; near names are offered.

    Source
    ------
    own: `data/components.csv` names the source of each number.

    Examples
    --------
    >>> round(component("akadama").grain_porosity_v, 2), component("clay_granule").key
    (0.71, 'akadama')
    """
    key = component_key(word)
    if own and key in own:
        return own[key]
    if key not in component_keys():
        raise unknown_name(_("component"), word, [*_aliases(), *(own or ())])
    return _of_table(key)


@cache
def _of_table(key: str) -> Component:
    rows = _table().of(key)

    def maybe(parameter: str) -> Amount | None:
        return amount_of(rows[parameter]) if parameter in rows else None

    cut = None
    if "grain_from_mm" in rows:
        cut = (rows["grain_from_mm"].number, rows["grain_to_mm"].number)
    return Component(
        key=key,
        name=rows["name"].value,
        open_porosity_v=amount_of(rows["open_porosity_v"]),
        packing_frac=amount_of(rows["packing_frac"]),
        bulk_kg_l=amount_of(rows["bulk_kg_l"]),
        cut_mm=cut,
        void_alpha_per_cm=maybe("void_alpha_per_cm"),
        void_n=maybe("void_n"),
        grain_alpha_per_cm=maybe("grain_alpha_per_cm"),
        grain_n=maybe("grain_n"),
        residual_v=maybe("residual_v") or NONE,
        cec_cmol_kg=maybe("cec_cmol_kg"),
        ph=(rows["ph_low"].number, rows["ph_high"].number),
        ks_cm_s=maybe("ks_cm_s"),
        mineral=rows["mineral"].value == "yes",
        breaks=rows["breaks"].value == "yes",
        provenance=rows["provenance"].value,
    )


def component_name(key: str) -> str:
    """The name of a component for people.

    Parameters
    ----------
    key : str
        Such as "aged_bark", another of its names, or a grower's own component.

    Returns
    -------
    str
        The name; the key itself with spaces where it is the grower's own.

    Source
    ------
    practice: names of the trade, `data/components.csv`.

    Examples
    --------
    >>> component_name("aged_bark"), component_name("sharp_grit")
    ('composted bark', 'sharp grit')
    """
    known = component_key(key)
    return from_data(_of_table(known).name) if known in component_keys() else key.replace("_", " ")


def ph_span(keys: Iterable[str], own: Mapping[str, Component] | None = None) -> tuple[float, float] | None:
    """From the sourest to the least sour part; pH is no number to average.

    Parameters
    ----------
    keys : iterable of str
        The parts.
    own : mapping of str to Component, optional
        The grower's own components.

    Returns
    -------
    tuple of float or None
        Lowest and highest; None where no part tells one.

    Source
    ------
    own: the range of what is in the mix.

    Examples
    --------
    >>> ph_span(["kanuma", "pumice"])
    (4.5, 7.5)
    """
    known = [each.ph for each in (component(key, own) for key in keys) if each.ph is not None]
    return (min(low for low, _high in known), max(high for _low, high in known)) if known else None


def is_mineral(word: str) -> bool:
    """Whether a component is of mineral grains, whose dust is not to be breathed in.

    Parameters
    ----------
    word : str
        Its key or name.

    Returns
    -------
    bool
        False for what the package does not know.

    Source
    ------
    practice: `data/components.csv`.

    Examples
    --------
    >>> is_mineral("lava"), is_mineral("peat")
    (True, False)
    """
    key = component_key(word)
    return key in component_keys() and _of_table(key).mineral


def packing_of_bed(solid_v: float, grain_porosity_v: float) -> float:
    """Share of a bed that its grains fill, from its solids and the pores inside the grains.

    Parameters
    ----------
    solid_v : float
        Solids as a share of the bed.
    grain_porosity_v : float
        Open pores as a share of the grains.

    Returns
    -------
    float
        Solids / (1 - grain porosity).

    Source
    ------
    own: closure of the three phases of a bed.

    Examples
    --------
    >>> round(packing_of_bed(0.177, 0.71), 3)
    0.61
    """
    return solid_v / (1.0 - grain_porosity_v)
