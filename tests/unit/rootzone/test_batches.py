from __future__ import annotations

import pytest

from ringwise.kit.errors import RangeError
from ringwise.rootzone.batches import MixNeed, batches
from ringwise.rootzone.mix import recipe


def test_batches_join_pots_by_recipe_and_keep_the_order() -> None:
    needs = [
        MixNeed("T03", recipe("D"), 6636.0),
        MixNeed("T13", recipe("V"), 3188.0),
        MixNeed("T16", recipe("D"), 3453.0),
    ]
    first, second = batches(needs)
    assert (first.recipe.code, second.recipe.code) == ("D", "V")
    assert [need.label for need in first.needs] == ["T03", "T16"]
    # 10089 cm3 of 2:1:1 is 5044.5 + 2522.25 + 2522.25: 11, 6 and 6 scoops of half a litre
    assert dict(first.scoops) == {"akadama": 11, "pumice": 6, "lava": 6}
    assert first.made_cm3 == 11500.0
    assert first.leftover_cm3 == pytest.approx(11500.0 - 10089.0)


def test_scoop_bounds() -> None:
    need = MixNeed("T03", recipe("D"), 100.0)
    assert batches([need], scoop_cm3=25.0)[0].scoops == (("akadama", 2), ("pumice", 1), ("lava", 1))
    with pytest.raises(RangeError, match="scoop is 5 cm³"):
        batches([need], scoop_cm3=5.0)


def test_no_needs_no_batches() -> None:
    assert batches([]) == ()
