"""The kinds of tree: one key a taxon, and how a typed name finds it."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from ringwise.kit.errors import unknown_name
from ringwise.kit.tables import load_table
from ringwise.kit.words import _, from_data

ANY = "any"  # the key of rows that hold where species, genus and group say nothing


@dataclass(frozen=True)
class Taxon:
    """A species, or a genus where the species is not sure; `key` is its name in every parameter table."""

    key: str
    botanical_name: str
    common_name: str
    genus: str
    group: str
    leaf_habit: str

    @property
    def is_genus(self) -> bool:
        """Whether only the genus is named."""
        return self.key == self.genus


@lru_cache(maxsize=1)
def all_taxa() -> dict[str, Taxon]:
    """Every taxon by its key.

    Returns
    -------
    dict of str to Taxon
        In the order of the table.

    Examples
    --------
    >>> len(all_taxa()) > 100
    True
    """
    table = load_table("ringwise.records", "taxa")
    return {
        key: Taxon(
            key=key,
            botanical_name=table.get(key, "botanical_name").value,
            common_name=table.get(key, "common_name").value,
            genus=table.get(key, "genus").value,
            group=table.get(key, "tree_group").value,
            leaf_habit=table.get(key, "leaf_habit").value,
        )
        for key in table.keys()  # noqa: SIM118 - a Table iterates over rows, not keys
    }


def taxon(key: str) -> Taxon:
    """The taxon with a key.

    Parameters
    ----------
    key : str
        Accepted botanical name in snake case, such as "acer_palmatum"; a genus alone is a key too.

    Returns
    -------
    Taxon
        Its names, genus, group of trees (G1 to G7) and leaf habit.

    Raises
    ------
    UnknownNameError
        If no taxon has the key; the nearest are offered.

    Examples
    --------
    >>> taxon("zelkova_serrata").group
    'G1'
    """
    known = all_taxa()
    if key not in known:
        raise unknown_name(_("species"), key, known)
    return known[key]


def _folded(typed: str) -> str:
    """A typed name without case, cultivar, remark in brackets, hybrid cross, "sp." and punctuation."""
    text = re.sub(r"['‘\"“].*?['’\"”]|\(.*?\)", " ", typed.casefold())
    text = text.replace("×", " ").replace("_", " ").replace("-", " ")
    words = [word for word in text.replace(".", " ").split() if word not in {"x", "sp", "spp"}]
    return " ".join(words)


@lru_cache(maxsize=1)
def _names() -> dict[str, str]:
    """Folded name to key; keys and botanical names win over common names."""
    names: dict[str, str] = {}
    taxa = all_taxa()
    for each in taxa.values():
        names.setdefault(_folded(each.key), each.key)
        names.setdefault(_folded(each.botanical_name), each.key)
    for each in taxa.values():
        names.setdefault(_folded(each.common_name), each.key)
    return names


def _spoken_names() -> dict[str, str]:
    """Folded common name in the reader's language to key; species stand before their genus."""
    names: dict[str, str] = {}
    for each in all_taxa().values():
        names.setdefault(_folded(from_data(each.common_name)), each.key)
    return names


def find_taxon(typed: str) -> Taxon:
    """The taxon that a typed name means.

    Parameters
    ----------
    typed : str
        Botanical name, key or common name (English or the reader's own) in any case; a cultivar in quotes is
        left aside.

    Returns
    -------
    Taxon
        The species, or the genus where only that was typed.

    Raises
    ------
    UnknownNameError
        If nothing has that name; the nearest names are offered.

    Examples
    --------
    >>> find_taxon("Acer palmatum").key, find_taxon("trident MAPLE").key, find_taxon("Quercus sp.").key
    ('acer_palmatum', 'acer_buergerianum', 'quercus')
    """
    folded = _folded(typed)
    key = _names().get(folded) or _spoken_names().get(folded)
    if key is None:
        offered = [each.botanical_name for each in all_taxa().values()]
        offered += [from_data(each.common_name) for each in all_taxa().values()]
        raise unknown_name(_("species"), typed, offered)
    return all_taxa()[key]


def lookup_keys(key: str) -> tuple[str, ...]:
    """The keys under which a parameter of a taxon is sought, the closest first.

    Parameters
    ----------
    key : str
        A taxon's key.

    Returns
    -------
    tuple of str
        Species, genus, group of trees, "any"; for `Table.first`.

    Raises
    ------
    UnknownNameError
        If no taxon has the key.

    Examples
    --------
    >>> lookup_keys("acer_palmatum")
    ('acer_palmatum', 'acer', 'G2', 'any')
    """
    found = taxon(key)
    return tuple(dict.fromkeys((found.key, found.genus, found.group, ANY)))
