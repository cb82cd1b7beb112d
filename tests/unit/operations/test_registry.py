"""The catalogue: reading it, asking it, and what it refuses."""

from __future__ import annotations

from dataclasses import replace

import pytest

from ringwise.kit.errors import ParameterError, UnknownNameError
from ringwise.operations.base import checked
from ringwise.operations.registry import OPERATIONS, aftercare, cautions, operation


def test_unknown_operation_offers_near_names() -> None:
    with pytest.raises(UnknownNameError, match="Did you mean: repot"):
        operation("repott")


@pytest.mark.parametrize(
    ("change", "lacks"),
    [
        ({"steps": ()}, "steps"),
        ({"minutes": {}}, "minutes for XS"),
        ({"spans": {}}, "timing for G1"),
        ({"aftercare": ()}, "aftercare"),
        ({"judge": ""}, "judge"),
        ({"reversibility": "R9"}, "a known reversibility"),
        ({"vigour_min": 6}, "a least vigour"),
        ({"conflict_class": ""}, "conflict_class"),
    ],
)
def test_contract_refuses_what_lacks_a_part(change: dict[str, object], lacks: str) -> None:
    with pytest.raises(ParameterError, match=lacks):
        checked(replace(OPERATIONS["repot"], **change))  # type: ignore[arg-type]


def test_contract_refuses_a_duty_without_an_end_and_a_caution_without_authority() -> None:
    repot = OPERATIONS["repot"]
    endless = replace(repot.aftercare[0], ends=())
    with pytest.raises(ParameterError, match="ending sign"):
        checked(replace(repot, aftercare=(endless,)))
    nameless = replace(repot.hazards[0], authority="")
    with pytest.raises(ParameterError, match="authority"):
        checked(replace(repot, hazards=(nameless,)))


def test_minutes_of_a_repot_as_the_trade_plans_them() -> None:
    repot = OPERATIONS["repot"]
    assert [repot.minutes_of(size).median for size in ("XS", "S", "M", "L", "XL")] == [25, 40, 90, 170, 300]
    with pytest.raises(UnknownNameError):
        repot.minutes_of("F")
    assert OPERATIONS["lift"].minutes_of("F").median == 150


def test_cautions_name_only_what_applies() -> None:
    yew = [h.text for h in cautions(OPERATIONS["repot"], ("taxus_baccata", "taxus", "G6", "any"))]
    maple = [h.text for h in cautions(OPERATIONS["repot"], ("acer_palmatum", "acer", "G2", "any"))]
    assert any("Yew" in text for text in yew)
    assert not any("Yew" in text for text in maple)
    assert any("longhorn" in text for text in maple)
    assert not any("Sphagnum" in text for text in maple)
    mossy = cautions(OPERATIONS["repot"], ("acer",), ("sphagnum",), heavy=True)
    assert any("Sphagnum" in hazard.text for hazard in mossy)
    assert any("Two people" in hazard.text for hazard in mossy)


@pytest.mark.parametrize(("share", "variant"), [(0.1, "light"), (0.3, "heavy"), (None, "heavy")])
def test_aftercare_follows_the_share_of_roots(share: float | None, variant: str) -> None:
    assert {duty.variant for duty in aftercare(OPERATIONS["repot"], share)} == {variant}


def test_feed_waits_for_hard_leaves_and_shade_starts_with_the_first_leaf() -> None:
    duties = {duty.care: duty for duty in aftercare(OPERATIONS["repot"], 0.4)}
    assert duties["feed"].ends == ("H1",)
    assert duties["feed"].least_days == 28
    assert duties["shade"].starts == "11"
    assert duties["frost"].ends == ("RA",)


def test_weak_trees_are_open_to_rescue_and_rest_only() -> None:
    open_to_weak = {key for key, each in OPERATIONS.items() if each.vigour_min <= 2}
    assert open_to_weak == {"root_rescue", "leave"}
    assert not OPERATIONS["root_rescue"].elective


def test_cuts_that_cannot_be_undone_are_marked() -> None:
    assert {key for key, each in OPERATIONS.items() if each.irreversible} == {
        "structural_prune",
        "chop",
        "separate_layer",
        "sever_graft",
        "deadwood",
    }


@pytest.mark.parametrize(
    ("work", "told", "untold"),
    [
        ("air_layer", "slow sore", "Lime sulphur"),
        ("deadwood", "only as the local label says", "Sphagnum"),
        ("chop", "does not prevent decay", "Sphagnum"),
        ("pinch", "Cut away from the hand", "Wire under tension"),
        ("wire", "cover the eyes", "Dust"),
    ],
)
def test_what_lies_ready_brings_its_caution(work: str, told: str, untold: str) -> None:
    texts = " ".join(hazard.text for hazard in cautions(OPERATIONS[work], ("acer", "G2", "any")))
    assert told in texts
    assert untold not in texts


def test_no_caution_is_said_twice() -> None:
    for work in OPERATIONS.values():
        texts = [hazard.text for hazard in cautions(work, ("acer", "G2", "any"), ("mineral_mix",))]
        assert len(texts) == len(set(texts)), work.key


def test_no_dose_of_lime_sulphur_is_ever_printed() -> None:
    """A label decides; amounts of plant protection are nowhere in the cautions."""
    texts = [h.text for h in cautions(OPERATIONS["deadwood"], ()) if "sulphur" in h.text]
    assert texts
    assert not any(unit in text for text in texts for unit in (" ml", " mL", " g/L", " %"))
