"""What entries and pots must hold: units as typed and inside, ranges, and one line for what is wrong."""

from __future__ import annotations

from datetime import date

import pytest

from ringwise.kit.errors import (
    DateError,
    InputError,
    MissingFieldError,
    RangeError,
    UnitError,
    UnknownNameError,
)
from ringwise.records.model import ENTRY_KINDS, JsonValue
from ringwise.records.observations import STAGE_CODES, check_interval, checked_data, fields_of
from ringwise.records.pot_measures import pot_measures
from ringwise.records.typed_words import typed_data

PHOTO: dict[str, JsonValue] = {
    "sha256": "ab",
    "view": "front",
    "file": "photos/ab/ab.jpg",
    "width_px": 4,
    "height_px": 3,
}


def test_values_are_kept_as_typed_and_in_the_unit_inside() -> None:
    data = typed_data("trunk", {"diameter_mm": "3/4 in", "at_mm": "3 cm"})
    assert data["diameter_mm"] == pytest.approx(19.05)
    assert data["at_mm"] == 30.0
    assert data["typed"] == {"diameter_mm": "3/4 in", "at_mm": "3 cm"}


@pytest.mark.parametrize(
    ("kind", "words", "expected"),
    [
        ("stage", {"code": "h1", "extent": "most"}, {"code": "H1", "extent": "most"}),
        ("height", {"height_mm": "52 cm"}, {"height_mm": 520.0}),
        ("vigour", {"score": "4"}, {"score": 4}),
        ("drain", {"seconds": "2 min", "water_cm3": "500 ml"}, {"seconds": 120.0, "water_cm3": 500.0}),
        ("days_dry", {"days": "1,5 days"}, {"days": 1.5}),
        ("weight", {"mass_g": "14 kg", "moment": "after_24_h"}, {"mass_g": 14000.0, "moment": "after_24_h"}),
        (
            "weight",
            {"mass_g": "11 lb", "moment": "Drained_Tilted", "tilt_deg": "30°"},
            {"mass_g": 11 * 453.59237, "moment": "drained_tilted", "tilt_deg": 30.0},
        ),
        (
            "weight",
            {"mass_g": "6 kg", "moment": "pot_empty", "pot": "P-T17"},
            {"mass_g": 6000.0, "pot": "P-T17"},
        ),
        (
            "graft_check",
            {"site": "A", "before_mm": "6.3 mm", "after_mm": "5.9 mm", "callus_both_sides": "no"},
            {"site": "A", "before_mm": 6.3, "after_mm": 5.9, "callus_both_sides": False},
        ),
        ("work", {"operation": "repot", "root_removed_frac": "30 %"}, {"root_removed_frac": 0.3}),
        ("question", {"title": "Base", "courses": "layer, keep"}, {"courses": ["layer", "keep"]}),
    ],
)
def test_typed(kind: str, words: dict[str, str], expected: dict[str, object]) -> None:
    data = typed_data(kind, words)
    for key, value in expected.items():
        assert data[key] == value


@pytest.mark.parametrize(
    ("kind", "words", "error", "text"),
    [
        ("girth", {"girth_mm": "92"}, UnitError, "without a unit"),
        ("girth", {"girth_mm": "92 kg"}, UnitError, "does not fit"),
        ("girth", {"girth_mm": "-3 cm"}, RangeError, "girth_mm"),
        ("girth", {"width_mm": "3 cm"}, UnknownNameError, "girth_mm"),
        ("vigour", {"score": "6"}, RangeError, "whole number, 0 to 5"),
        ("vigour", {"score": "3.5"}, RangeError, "whole number"),
        ("vigour", {"score": "good"}, InputError, "no number"),
        ("vigour", {}, MissingFieldError, "vigour needs score"),
        ("weight", {"mass_g": "5 kg", "moment": "drained_tilted"}, MissingFieldError, "needs its tilt"),
        (
            "weight",
            {"mass_g": "5 kg", "moment": "drained_level", "tilt_deg": "30deg"},
            InputError,
            "tilt_deg goes",
        ),
        (
            "weight",
            {"mass_g": "5 kg", "moment": "drained_tilted", "tilt_deg": "90deg"},
            RangeError,
            "5 to 70",
        ),
        ("weight", {"mass_g": "5 kg", "moment": "drained_tilted", "tilt_deg": "30"}, UnitError, "30 deg"),
        ("weight", {"mass_g": "5 cm", "moment": "other"}, UnitError, "does not fit"),
        ("stage", {"code": "04", "extent": "first"}, UnknownNameError, "unknown"),
        ("stage", {"code": "03", "extent": "all"}, UnknownNameError, "first"),
        ("stage", {"code": "03", "extent": "first", "last_seen_before": "2026-02-30"}, DateError, "no day"),
        ("weight", {"mass_g": "14 kg", "moment": "noon"}, UnknownNameError, "after_10_min"),
        ("work", {"operation": "repot", "root_removed_frac": "130 %"}, RangeError, "0 to 1"),
        ("health", {"score": "1"}, UnknownNameError, "kind of entry"),
    ],
)
def test_refused(kind: str, words: dict[str, str], error: type[Exception], text: str) -> None:
    with pytest.raises(error, match=text) as caught:
        typed_data(kind, words)
    assert "\n" not in str(caught.value)


def test_every_kind_has_fields() -> None:
    assert all(isinstance(fields_of(kind), dict) for kind in ENTRY_KINDS)


@pytest.mark.parametrize("value", [True, "4", float("nan"), float("inf")])
def test_a_number_is_a_finite_number(value: object) -> None:
    with pytest.raises(InputError):
        checked_data("vigour", {"score": value})  # type: ignore[dict-item]


def test_zero_needs_no_unit_and_is_no_missing_value() -> None:
    assert typed_data("girth", {"girth_mm": "92 mm", "at_mm": "0"})["at_mm"] == 0.0
    assert checked_data("girth", {"girth_mm": 92.0, "at_mm": None})["at_mm"] is None


def test_works_keep_keys_of_the_rooms_above() -> None:
    data: dict[str, JsonValue] = {"operation": "repot", "moss": "long fibre", "tie_count": 4}
    assert checked_data("work", data) == data


def test_photo_view() -> None:
    assert checked_data("photo", PHOTO) == PHOTO
    with pytest.raises(UnknownNameError, match="underside"):
        checked_data("photo", PHOTO | {"view": "undersid"})


def test_the_visit_before_lies_before() -> None:
    check_interval({"last_seen_before": "2027-02-28"}, date(2027, 2, 28))
    check_interval({"last_seen_before": "2027-03-01"}, None)
    with pytest.raises(RangeError, match="2027-03-01"):
        check_interval({"last_seen_before": "2027-03-01"}, date(2027, 2, 28))


def test_stage_codes_have_the_states_of_the_trade() -> None:
    assert STAGE_CODES[0] == "00"
    assert {"07", "11", "H1", "97"} <= set(STAGE_CODES)
    assert len(set(STAGE_CODES)) == len(STAGE_CODES) == 15


def test_pots_in_inches_and_centimetres() -> None:
    inches = pot_measures("oval", "12x9x2.5 in")
    # the inch is 25.4 mm by definition
    assert (inches.length_mm, inches.width_mm, inches.depth_mm) == pytest.approx((304.8, 228.6, 63.5))
    assert inches.typed == "12x9x2.5 in"
    bare = pot_measures("round", "28x9")
    assert (bare.length_mm, bare.width_mm, bare.depth_mm) == (280.0, 280.0, 90.0)
    assert pot_measures("ground", "-").depth_mm is None


@pytest.mark.parametrize(
    ("shape", "text", "error", "line"),
    [
        ("oval", "30x20x-3 cm", RangeError, "pot depth is -3 cm; accepted: 0.5 to 200 cm."),
        ("oval", "30x20", UnitError, 'for shape oval write it like "42x31x7.5 cm"'),
        ("round", "28", UnitError, "28x9 cm"),
        ("ovel", "30x20x8", UnknownNameError, "oval"),
        ("ground", "30x20", UnitError, "no measures"),
        ("oval", "9000x20x8 cm", RangeError, "pot length"),
    ],
)
def test_no_pots(shape: str, text: str, error: type[Exception], line: str) -> None:
    with pytest.raises(error) as caught:
        pot_measures(shape, text)
    assert line in str(caught.value)


MARKED: dict[str, JsonValue] = PHOTO | {
    "align": [[0.5, 0.9], [0.52, 0.1]],
    "rim": [[0.0, 1.0], [1.0, 0.95]],
    "rim_mm": 530.0,
    "date_from": "camera",
    "original_name": "front of the elm.jpg",
}


def test_marks_of_a_photo() -> None:
    assert checked_data("photo", MARKED) == MARKED
    under: dict[str, JsonValue] = PHOTO | {"view": "underside", "mirrored": True}
    assert checked_data("photo", under) == under
    assert checked_data("photo", PHOTO | {"mirrored": False}) == PHOTO | {"mirrored": False}


def test_marks_as_they_are_typed() -> None:
    words = {key: str(value) for key, value in PHOTO.items()}
    data = typed_data("photo", words | {"rim": "0.2,0.9 0.8,0.9", "rim_mm": "12 in", "date_from": "FILE"})
    assert data["rim"] == [[0.2, 0.9], [0.8, 0.9]]
    assert data["rim_mm"] == pytest.approx(304.8)  # 12 inches of 25.4 mm by definition
    assert data["typed"] == {"rim_mm": "12 in"}
    assert data["date_from"] == "file"


@pytest.mark.parametrize(
    ("more", "error", "text"),
    [
        ({"align": "0.5,0.9"}, InputError, "two points"),
        ({"align": []}, InputError, "two points"),
        ({"align": [[0.1, 0.1]]}, InputError, "two points"),
        ({"align": [[0.1, 0.1], [0.2, 0.2], [0.3, 0.3]]}, InputError, "two points"),
        ({"align": [[0.1, 0.1], "ab"]}, InputError, "two points"),
        ({"align": [[0.1, 0.1], 0.5]}, InputError, "two points"),
        ({"align": {"a": [0.1, 0.1], "b": [0.2, 0.2]}}, InputError, "two points"),
        ({"align": [[0.1, "x"], [0.2, 0.2]]}, InputError, "no number"),
        ({"align": [[0.1, True], [0.2, 0.2]]}, InputError, "no number"),
        ({"align": [[-0.01, 0.1], [0.2, 0.2]]}, RangeError, "0 to 1"),
        ({"align": [[0.1, float("inf")], [0.2, 0.2]]}, RangeError, "0 to 1"),
        ({"align": [[0.5, 0.5], [0.509, 0.5]]}, InputError, "one place"),
        ({"rim_mm": 300.0}, MissingFieldError, "needs rim"),
        ({"rim": [[0.1, 0.9], [0.9, 0.9]], "rim_mm": 0.0}, RangeError, "rim_mm"),
        ({"date_from": "memory"}, UnknownNameError, "date_from"),
        ({"mirrored": True}, InputError, "underside"),
        ({"mirrored": "yes"}, InputError, "yes or no"),
    ],
)
def test_marks_refused(more: dict[str, JsonValue], error: type[Exception], text: str) -> None:
    with pytest.raises(error, match=text) as caught:
        checked_data("photo", PHOTO | more)
    assert "\n" not in str(caught.value)
