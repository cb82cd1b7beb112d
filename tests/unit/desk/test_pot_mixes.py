"""The mix in a tree's pot: written down or usual, known or not, and kept for pots alike."""

from __future__ import annotations

from pathlib import Path

import pytest
from living_yards import NOW, entry, small_yard

from ringwise.desk.mix_typed import typed_recipes
from ringwise.desk.own_components import NewComponent, add_component, own_components
from ringwise.desk.pot_mixes import pot_mix
from ringwise.desk.workspace import Workspace, open_workspace
from ringwise.kit.errors import MissingFieldError
from ringwise.records.model import Change, Mix
from ringwise.records.store import open_store


def yard_with(folder: Path, *more: Change) -> Workspace:
    """The small yard with more in it."""
    small_yard(folder, weather=False)
    if more:
        with open_store(folder) as store:
            store.save(NOW, list(more))
    return open_workspace(folder)


def test_the_mix_of_the_last_repotting_counts(tmp_path: Path) -> None:
    old = entry("T1", "work", 900, {"operation": "repot", "mix": "W"})
    new = entry("T1", "work", 20, {"operation": "repot", "mix": "C"})
    held = yard_with(tmp_path / "yard", old, new)
    found = pot_mix(held, held.facts["T1"])
    assert (found.recipe.code, found.known) == ("C", True)
    assert "(2027)" in found.words
    assert found.blend.curve.draws == 200
    assert found.pot.fill_height_mm < 70  # common practice: less than the pot's depth is filled


def test_without_a_record_it_is_the_usual_one_and_says_so(tmp_path: Path) -> None:
    held = yard_with(tmp_path / "yard")
    found = pot_mix(held, held.facts["T1"])
    assert not found.known
    assert "not written down" in found.words
    assert found.recipe.code == "D"
    assert pot_mix(held, held.facts["T3"]).blend is found.blend  # same mix, same cut: made once


def test_a_part_that_nobody_weighed_falls_back_and_says_so(tmp_path: Path) -> None:
    own = Mix("MINE", "mine", (("moon_dust", 1.0), ("pumice", 1.0)))
    work = entry("T1", "work", 20, {"operation": "repot", "mix": "MINE"})
    held = yard_with(tmp_path / "yard", own, work)
    found = pot_mix(held, held.facts["T1"])
    assert (found.recipe.code, found.known) == ("D", False)
    assert "moon_dust" in found.words
    add_component(held, NewComponent("moon dust", "1L", "10cm", "2-5mm", "0g", "480g", "1300g", "1010g"))
    again = open_workspace(tmp_path / "yard")
    weighed = pot_mix(again, again.facts["T1"])
    assert (weighed.recipe.code, weighed.known) == ("MINE", True)
    assert set(own_components(again)) == {"moon_dust"}


def test_former_names_in_a_record_still_read(tmp_path: Path) -> None:
    own = Mix("MINE", "mine", (("clay_granule", 2.0), ("composted_bark", 1.0)))
    work = entry("T1", "work", 20, {"operation": "repot", "mix": "MINE"})
    held = yard_with(tmp_path / "yard", own, work)
    assert pot_mix(held, held.facts["T1"]).recipe.parts == (("akadama", 2.0), ("aged_bark", 1.0))


def test_a_tree_without_a_measured_pot_has_no_mix_to_reckon(tmp_path: Path) -> None:
    held = yard_with(tmp_path / "yard")
    with pytest.raises(MissingFieldError, match="T10"):
        pot_mix(held, held.facts["T10"])


def test_mixes_are_typed_by_code_own_name_or_parts(tmp_path: Path) -> None:
    held = yard_with(tmp_path / "yard", Mix("MINE", "mine", (("pumice", 1.0),)))
    assert [each.code for each in typed_recipes(held, "d, mine ,D")] == ["D", "MINE"]
    parts = typed_recipes(held, "D; clay granule = 2, lava=1")
    assert parts[1].parts == (("akadama", 2.0), ("lava", 1.0))
    more = typed_recipes(held, "D+lava")
    assert more[0].parts == (("akadama", 2.0), ("pumice", 1.0), ("lava", 2.0))
