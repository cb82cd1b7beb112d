"""What every operation of the catalogue must say of itself; no operation is left out."""

from __future__ import annotations

import re
from importlib import resources

import pytest

from ringwise.kit.sources import all_sources
from ringwise.kit.tables import load_rows
from ringwise.operations.base import GROUPS, POT_SIZES, REVERSIBILITY, Operation, checked
from ringwise.operations.conflicts import RESCUE, classes_of
from ringwise.operations.registry import OPERATIONS
from ringwise.phenology.stages import ORDER
from ringwise.records.taxa import all_taxa

WANTED = {
    "repot", "bare_root", "root_prune_in_ground", "lift", "structural_prune", "chop", "cut_back", "pinch",
    "partial_defoliation", "full_defoliation", "wire", "air_layer", "ground_layer", "separate_layer",
    "approach_graft", "thread_graft", "root_graft", "scion_graft", "deadwood", "feed", "root_rescue", "leave",
}  # fmt: skip
MONTH = re.compile(
    r"\b(jan(uary)?|feb(ruary)?|mar(ch)?|apr(il)?|may|june?|july?|aug(ust)?|sept?(ember)?|oct(ober)?"
    r"|nov(ember)?|dec(ember)?)\b",
    re.IGNORECASE,
)
BETWEEN = {row["code"] for row in load_rows("ringwise.operations", "stage_between")}
every = pytest.mark.parametrize("operation", OPERATIONS.values(), ids=lambda each: each.key)


def matrix_names(column: str) -> set[str]:
    return {row[column] for row in load_rows("ringwise.operations", "conflicts")}


def test_the_catalogue_holds_the_operations_of_now() -> None:
    assert set(OPERATIONS) >= WANTED
    codes = [operation.code for operation in OPERATIONS.values()]
    assert len(set(codes)) == len(codes)


@every
def test_contract_of_the_base(operation: Operation) -> None:
    assert checked(operation) is operation
    assert operation.reversibility in REVERSIBILITY
    assert operation.noun


@every
def test_steps_are_ordered_texts_and_the_kit_keeps_roots_and_branches_apart(operation: Operation) -> None:
    assert len(operation.steps) >= 2
    assert all(step.text.endswith((".", "?")) for step in operation.steps)
    assert not set(operation.kit.roots) & set(operation.kit.branches) - {"alcohol wipe"}
    if operation.root_work and operation.conflict_class != "ground_roots":
        assert any(step.critical for step in operation.steps), "roots out of the soil run against the clock"
        assert operation.kit.roots


@every
def test_minutes_rise_with_the_pot_and_keep_their_spread(operation: Operation) -> None:
    medians = [operation.minutes_of(size).median for size in POT_SIZES]
    assert medians == sorted(medians)
    for size in operation.minutes:
        band = operation.minutes_of(size)
        assert band.high / band.median == pytest.approx(1.6)
        assert band.median / band.low == pytest.approx(1.6)


@every
def test_timing_for_every_group_or_a_row_that_says_not_done(operation: Operation) -> None:
    for group in GROUPS:
        for span in operation.spans[group]:
            if not span.done:
                assert span.note, f"{operation.key} {group}: why not"
                continue
            assert span.sign, f"{operation.key} {group}: what to look for"
            assert span.closes_by, f"{operation.key} {group}: what closes it"


@every
def test_timing_names_known_stages_and_known_trees(operation: Operation) -> None:
    known = set(ORDER) | BETWEEN | {"", "x"}
    keys = {taxon.genus for taxon in all_taxa().values()} | set(all_taxa()) | set(GROUPS)
    for key, spans in operation.spans.items():
        assert key in keys
        for span in spans:
            assert {span.opens, span.closes, span.hard_closes} <= known


@every
def test_aftercare_ends_by_a_sign_or_is_said_to_be_none(operation: Operation) -> None:
    assert operation.aftercare
    for duty in operation.aftercare:
        assert duty.ends
        assert duty.starts
        assert duty.phase in {"bare", "leaf", "any"}
        assert duty.variant in {"any", "light", "heavy"}
        if duty.care == "none":
            assert len(operation.aftercare) == 1


@every
def test_root_work_has_two_phases_parted_by_the_first_leaf(operation: Operation) -> None:
    if not operation.root_work or operation.key in {"root_prune_in_ground", "separate_layer"}:
        return
    bare = [duty for duty in operation.aftercare if duty.phase == "bare"]
    leaf = [duty for duty in operation.aftercare if duty.phase == "leaf"]
    assert bare
    assert leaf
    assert all(duty.starts == "11" for duty in leaf)
    assert all("RA" in duty.ends for duty in leaf)
    assert any(duty.care == "feed" and "H1" in duty.ends for duty in operation.aftercare)


@every
def test_conflict_class_stands_in_the_matrix(operation: Operation) -> None:
    for amount in ("", "light", "heavy"):
        earlier, later = classes_of(operation, amount=amount)
        assert earlier in matrix_names("earlier") | {""}
        assert later in matrix_names("later") | {"", RESCUE}
    if operation.key not in {"leave", "root_rescue", "sever_graft", "feed"}:
        assert all(classes_of(operation)), "an elective work stands in a row and a column"


@every
def test_cautions_name_an_authority_or_common_practice(operation: Operation) -> None:
    assert operation.hazards
    for hazard in operation.hazards:
        assert hazard.authority in all_sources()
        assert hazard.to_whom in {"person", "tree"}


@every
def test_rot_with_the_roots_out_has_its_own_branch_of_the_sheet(operation: Operation) -> None:
    if operation.root_work and operation.key != "separate_layer":
        assert "rot" in {found.what for found in operation.found}


def data_texts() -> list[tuple[str, str]]:
    folder = resources.files("ringwise.operations") / "data"
    files = [file for file in folder.iterdir() if file.name.endswith(".csv") and file.name != "species.csv"]
    files += [file for file in (folder / "procedures").iterdir() if file.name.endswith(".toml")]
    return [(file.name, file.read_text(encoding="utf-8")) for file in files]


def test_month_pattern_finds_a_planted_month() -> None:
    assert MONTH.search("repot in March")
    assert MONTH.search("by mid Aug")
    assert not MONTH.search("decorate the marble sepals")


@pytest.mark.parametrize(("name", "text"), data_texts(), ids=lambda each: each if len(each) < 60 else "")
def test_no_month_is_named_in_the_catalogue(name: str, text: str) -> None:
    found = MONTH.search(text)
    assert found is None, f"{name} names {found.group(0) if found else ''}"


def test_cautions_of_materials_and_species_name_their_authority() -> None:
    keys = {taxon.genus for taxon in all_taxa().values()} | set(all_taxa())
    for row in load_rows("ringwise.operations", "hazards"):
        assert row["authority"] in all_sources()
        kind, _colon, value = row["applies"].partition(":")
        assert kind in {"weight", "material", "species"}
        assert kind != "species" or value in keys
