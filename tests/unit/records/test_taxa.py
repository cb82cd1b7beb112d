"""Names of trees: keys, typed names, and the chain of keys for parameters."""

from __future__ import annotations

import pytest

from ringwise.kit.errors import UnknownNameError
from ringwise.records.taxa import all_taxa, find_taxon, lookup_keys, taxon

PRINTED_ELSEWHERE = (
    "betula_pubescens",
    "quercus_petraea",
    "picea_omorika",
    "salix_viminalis",
    "prunus_padus",
    "prunus_yedoensis",
    "prunus_avium",
    "acer_platanoides",
    "acer_saccharum",
    "acer_pensylvanicum",
    "fagus_grandifolia",
    "quercus_rubra",
    "quercus_alba",
    "quercus_velutina",
    "prunus_serotina",
    "betula_alleghaniensis",
    "fraxinus_americana",
    "fraxinus_excelsior",
    "nyssa_sylvatica",
    "populus_tremuloides",
    "prunus_cerasifera",
    "crataegus_laevigata",
    "vaccinium_corymbosum",
    "abies_alba",
)


@pytest.mark.parametrize(
    ("typed", "key"),
    [
        ("Acer palmatum", "acer_palmatum"),
        ("acer_palmatum", "acer_palmatum"),
        ("  ACER   PALMATUM ", "acer_palmatum"),
        ("Acer palmatum 'Atropurpureum'", "acer_palmatum"),
        ("Japanese maple", "acer_palmatum"),
        ("scots pine", "pinus_sylvestris"),
        ("Prunus × yedoensis", "prunus_yedoensis"),
        ("Prunus x yedoensis", "prunus_yedoensis"),
        ("Quercus sp.", "quercus"),
        ("Malus spp.", "malus"),
        ("Malus (crab)", "malus"),
        ("Acer palmatum “Osakazuki”", "acer_palmatum"),
        ("maple", "acer"),
        ("small-leaved lime", "tilia_cordata"),
    ],
)
def test_typed_names_find_their_taxon(typed: str, key: str) -> None:
    assert find_taxon(typed).key == key


def test_unknown_name_offers_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="Acer palmatum") as caught:
        find_taxon("Acer palmatun")
    assert "\n" not in str(caught.value)
    assert caught.value.exit_code == 2


def test_unknown_key_offers_the_nearest() -> None:
    with pytest.raises(UnknownNameError, match="zelkova_serrata"):
        taxon("zelkova_serata")


def test_empty_name_is_unknown() -> None:
    with pytest.raises(UnknownNameError):
        find_taxon("  ")


def test_lookup_keys_go_from_species_to_any() -> None:
    assert lookup_keys("acer_buergerianum") == ("acer_buergerianum", "acer", "G1", "any")
    assert lookup_keys("malus") == ("malus", "malus", "G4", "any")[1:]


@pytest.mark.parametrize(
    ("key", "group"),
    [
        ("ulmus_procera", "G1"),
        ("acer_buergerianum", "G1"),
        ("pyracantha", "G1"),
        ("acer_palmatum", "G2"),
        ("euonymus_alatus", "G2"),
        ("fagus_crenata", "G3"),
        ("cercis_siliquastrum", "G3"),
        ("prunus_mume", "G4"),
        ("rhododendron_indicum", "G4"),
        ("taxodium_distichum", "G5"),
        ("chamaecyparis_obtusa", "G6"),
        ("buxus_sempervirens", "G7"),
    ],
)
def test_groups_follow_the_trades_list(key: str, group: str) -> None:
    assert taxon(key).group == group


def test_taxa_that_only_printed_parameter_rows_name_are_known() -> None:
    for key in PRINTED_ELSEWHERE:
        assert taxon(key).key == key


def test_every_taxon_is_sound_and_names_are_its_own() -> None:
    common: dict[str, str] = {}
    botanical: dict[str, str] = {}
    for key, each in all_taxa().items():
        assert each.genus == key.split("_")[0]
        assert each.genus in all_taxa(), "every genus is a key to fall back on"
        assert each.group in {"G1", "G2", "G3", "G4", "G5", "G6", "G7"}
        assert each.leaf_habit in {"D", "DC", "E", "EC", "SE"}
        assert common.setdefault(each.common_name, key) == key
        assert botanical.setdefault(each.botanical_name, key) == key
        assert find_taxon(each.botanical_name).key == key
        assert find_taxon(each.common_name).key == key
