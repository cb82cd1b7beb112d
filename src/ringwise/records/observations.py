"""What each kind of entry must hold: its keys, their units and ranges, and how they are typed."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from ringwise.kit.days import parse_date
from ringwise.kit.errors import InputError, MissingFieldError, out_of_range, unknown_name
from ringwise.kit.words import _
from ringwise.records.model import ENTRY_KINDS, PHOTO_VIEWS, JsonValue

STAGE_CODES = ("00", "01", "03", "07", "09", "10", "11", "15", "19", "H1", "91", "92", "93", "95", "97")
ROOTS_ACTIVE = "RA"  # after root work; no stage of the leaves
SEEN_CODES = (*STAGE_CODES, ROOTS_ACTIVE)
EXTENTS = ("first", "most", "late_branch")
DRAINED_LEVEL, DRAINED_TILTED, POT_EMPTY = "drained_level", "drained_tilted", "pot_empty"
WEIGHT_MOMENTS = (
    DRAINED_LEVEL,  # watered through, standing level, nothing drips any more
    DRAINED_TILTED,  # then tilted until nothing drips any more
    "after_10_min",
    "after_24_h",
    "before_watering",
    POT_EMPTY,  # the pot alone, without tree and soil
    "other",
)
DATE_SOURCES = ("camera", "typed", "file", "today")  # where the day of a photo comes from
SHAPE_SOURCES = ("tape", "trace", "turntable", "cylinders", "file")  # how a kept structure was measured
TRIED_WORK = (  # work that comes off or fails, with odds
    "air_layer",
    "ground_layer",
    "separate_layer",
    "approach_graft",
    "thread_graft",
    "root_graft",
    "scion_graft",
)
TRY_CONDITIONS = ("hormone", "off_season", "thick_stem")
TYPED = "typed"  # the key under which the words of the grower are kept beside the values

# Bounds beyond which a figure is a slip of the unit or the key, not a tree: judged wide on purpose.
_LENGTH_MM = (0.1, 60_000.0)
_TIME_S = (0.5, 86_400.0)
_VOLUME_CM3 = (1.0, 1_000_000.0)
_MASS_G = (0.1, 5_000_000.0)
_DRY_DAYS = (0.05, 366.0)
_TILT_DEG = (5.0, 70.0)  # less is level, more spills
_TRY_WEEKS = (0.1, 1_000.0)
_WORK_MIN = (0.0, 100_000.0)
_PIXELS = (1.0, 100_000.0)
_LEAST_APART = 0.01  # of a picture's side: two taps nearer than this are one tap
_PLAIN_NUMBER = ""
_HOURS = tuple(str(hour) for hour in range(1, 13))


@dataclass(frozen=True)
class Field:
    """One key of an entry's data; `quantity` is the kind of unit in which a number is typed."""

    holds: str  # number, whole, text, flag, day, list, map, points (two places on a picture)
    low: float = -math.inf
    high: float = math.inf
    quantity: str = _PLAIN_NUMBER
    choices: tuple[str, ...] = ()
    needed: bool = True


def _number(bounds: tuple[float, float], quantity: str = _PLAIN_NUMBER, *, needed: bool = True) -> Field:
    return Field("number", *bounds, quantity, needed=needed)


def _length(*, needed: bool = True) -> Field:
    return _number(_LENGTH_MM, "length", needed=needed)


_TEXT = Field("text")
_COUNT = Field("whole", 1, 1_000)
_MAYBE_TEXT = Field("text", needed=False)
_FRACTION = Field("number", 0.0, 1.0, "fraction", needed=False)
_TWO_POINTS = Field("points", 0.0, 1.0, needed=False)  # shares of the upright picture from its upper left

FIELDS: dict[str, dict[str, Field]] = {
    "stage": {
        "code": Field("text", choices=SEEN_CODES),
        "extent": Field("text", choices=EXTENTS),
        "last_seen_before": Field("day", needed=False),
    },
    "girth": {"girth_mm": _length(), "at_mm": Field("number", 0.0, _LENGTH_MM[1], "length", needed=False)},
    "trunk": {"diameter_mm": _length(), "at_mm": Field("number", 0.0, _LENGTH_MM[1], "length", needed=False)},
    "height": {"height_mm": _length()},
    "vigour": {"score": Field("whole", 0, 5)},
    "drain": {"seconds": _number(_TIME_S, "time"), "water_cm3": _number(_VOLUME_CM3, "volume", needed=False)},
    "days_dry": {"days": _number(_DRY_DAYS)},
    "weight": {
        "mass_g": _number(_MASS_G, "mass"),
        "moment": Field("text", choices=WEIGHT_MOMENTS),
        "tilt_deg": _number(_TILT_DEG, "angle", needed=False),
        "pot": _MAYBE_TEXT,  # which pot was weighed: a tree may change pots without a repotting
    },
    "watered": {"water_cm3": _number(_VOLUME_CM3, "volume", needed=False)},  # without a volume: till it ran
    "graft_check": {
        "site": _TEXT,
        "before_mm": _length(),
        "after_mm": _length(),
        "error_mm": Field("number", 0.0, 10.0, "length", needed=False),
        "callus_both_sides": Field("flag", needed=False),
    },
    "note": {},
    "photo": {
        "sha256": _TEXT,
        "view": Field("text", choices=PHOTO_VIEWS),
        "file": _TEXT,
        "width_px": Field("whole", *_PIXELS),
        "height_px": Field("whole", *_PIXELS),
        "taken": _MAYBE_TEXT,
        "taken_offset": _MAYBE_TEXT,
        "original_name": _MAYBE_TEXT,
        "date_from": Field("text", choices=DATE_SOURCES, needed=False),
        "align": _TWO_POINTS,  # two lasting places, such as trunk at the soil and apex
        "rim": _TWO_POINTS,  # both inner edges of the pot's rim
        "rim_mm": _length(needed=False),
        "mirrored": Field("flag", needed=False),  # an underside shown as seen from above
    },
    "wound": {  # where a branch or bark is gone and wood shows; a width of 0 is one that has closed
        "width_mm": Field("number", 0.0, 1_000.0, "length"),
        "at_mm": Field("number", 0.0, _LENGTH_MM[1], "length"),
        "clock": Field("number", 0.0, 12.5, needed=False),
    },
    "question": {"title": _TEXT, "courses": Field("list")},
    "result": {  # what became of a layer, graft or separation
        "operation": Field("text", choices=TRIED_WORK),
        "came_off": Field("flag"),
        "weeks": _number(_TRY_WEEKS, needed=False),  # until roots showed or the union held
        "conditions": Field("list", needed=False),
        "site": _MAYBE_TEXT,
    },
    "course": {"key": _TEXT, "title": _TEXT, "text": _TEXT},  # the text is TOML, read by the futures room
    "decision": {"key": _TEXT, "title": _TEXT, "text": _TEXT, "review_on": Field("day", needed=False)},
}
# Kinds that may hold more keys than those checked here: the rooms above own the rest.
OPEN_FIELDS: dict[str, dict[str, Field]] = {
    "aim": {"set": _TEXT},  # its wishes and weights are the futures' own
    "tape": {"height_mm": _length()},
    "shape": {
        "source": Field("text", choices=SHAPE_SOURCES),
        "file": _TEXT,
        "sha256": _TEXT,
        "segments": Field("whole", 1, 10_000_000),
        "height_mm": _length(),
        "photos": Field("list", needed=False),  # ids of the entries of its photos
    },
    "roots": {"photo": _MAYBE_TEXT},  # finds by hour and traced roots: checked below
    "work": {
        "operation": _TEXT,
        "root_removed_frac": _FRACTION,
        "minutes_min": _number(_WORK_MIN, "duration", needed=False),
        "pot": _MAYBE_TEXT,
        "mix": _MAYBE_TEXT,
        "override_reason": _MAYBE_TEXT,
        "tie_count": Field("whole", 0, 100, needed=False),
        "tie_wire_mm": Field("number", 0.1, 10.0, "length", needed=False),
        "tie_route": _MAYBE_TEXT,
    },
    "planned": {
        "operation": _TEXT,
        "root_removed_frac": _FRACTION,
        "reason": _MAYBE_TEXT,
        "override_reason": _MAYBE_TEXT,
    },
}


def fields_of(kind: str) -> dict[str, Field]:
    """The keys of a kind of entry.

    Parameters
    ----------
    kind : str
        One of `ENTRY_KINDS`.

    Returns
    -------
    dict of str to Field
        By key.

    Raises
    ------
    UnknownNameError
        If there is no such kind.

    Examples
    --------
    >>> list(fields_of("girth"))
    ['girth_mm', 'at_mm']
    """
    if kind not in ENTRY_KINDS:
        raise unknown_name(_("kind of entry"), kind, ENTRY_KINDS)
    return FIELDS[kind] if kind in FIELDS else OPEN_FIELDS[kind]


def checked_data(kind: str, data: Mapping[str, JsonValue]) -> dict[str, JsonValue]:
    """The data of an entry, if every key is known, every needed one is there and every value is in its range.

    Parameters
    ----------
    kind : str
        One of `ENTRY_KINDS`.
    data : mapping
        In the units used inside. A key whose value is None is not measured, which is not the same as 0.

    Returns
    -------
    dict
        The same values.

    Raises
    ------
    UnknownNameError, MissingFieldError, RangeError, InputError, DateError
        Each names the field.

    Examples
    --------
    >>> checked_data("vigour", {"score": 4})
    {'score': 4}
    """
    fields = fields_of(kind)
    if kind in FIELDS:
        for key in data:
            if key not in fields and key != TYPED:
                raise unknown_name(_("{kind} field").format(kind=kind), key, fields)
    for key, field in fields.items():
        value = data.get(key)
        if value is None:
            if field.needed:
                raise MissingFieldError(_("{kind} needs {field}.").format(kind=kind, field=key))
            continue
        _check_value(f"{kind} {key}", value, field)
    if kind == "photo":
        _check_photo(data)
    if kind == "weight":
        _check_weight(data)
    if kind == "roots":
        _check_roots(data)
    for condition in _texts(data.get("conditions")) if kind == "result" else ():
        if condition not in TRY_CONDITIONS:
            raise unknown_name("result conditions", condition, TRY_CONDITIONS)
    return dict(data)


def _texts(value: JsonValue) -> tuple[str, ...]:
    return tuple(str(each) for each in value) if isinstance(value, list | tuple) else ()


def _check_photo(data: Mapping[str, JsonValue]) -> None:
    if data.get("rim_mm") is not None and data.get("rim") is None:
        raise MissingFieldError(_("photo rim_mm needs rim: mark both edges of the rim first."))
    if data.get("mirrored") and data["view"] != "underside":
        raise InputError(
            _("photo mirrored goes with view underside only; view is {view}.").format(view=data["view"])
        )


def _check_roots(data: Mapping[str, JsonValue]) -> None:
    """Finds by hour from 1 to 12, each with its count; what may be found is the measuring room's."""
    sectors = data.get("sectors")
    if not isinstance(sectors, Mapping) or not sectors:
        raise MissingFieldError(_("roots needs sectors: what was found by the hour of the clock."))
    for hour, finds in sectors.items():
        if str(hour) not in _HOURS:
            raise out_of_range("roots sectors", str(hour), _("{low} to {high}").format(low=1, high=12))
        if not isinstance(finds, Mapping) or not finds:
            raise InputError(_("roots at {hour} must hold what was found, with counts.").format(hour=hour))
        for find, count in finds.items():
            _check_value(f"roots {hour} {find}", count, _COUNT)


def _check_weight(data: Mapping[str, JsonValue]) -> None:
    tilted = data["moment"] == DRAINED_TILTED
    if tilted and data.get("tilt_deg") is None:
        raise MissingFieldError(_("a weight after tilting needs its tilt, such as 30deg."))
    if not tilted and data.get("tilt_deg") is not None:
        raise InputError(
            _("weight tilt_deg goes with {moment} only; the moment is {other}.").format(
                moment=DRAINED_TILTED, other=data["moment"]
            )
        )


def _check_value(name: str, value: JsonValue, field: Field) -> None:
    if field.holds in ("number", "whole"):
        _check_number(name, value, field)
    elif field.holds == "text":
        if not isinstance(value, str) or not value.strip():
            raise InputError(_("{field} must be a text.").format(field=name))
        if field.choices and value not in field.choices:
            raise unknown_name(name, value, field.choices)
    elif field.holds == "day":
        parse_date(str(value), field=name)
    elif field.holds == "flag":
        if not isinstance(value, bool):
            raise InputError(_("{field} is {value}; accepted: yes or no.").format(field=name, value=value))
    elif field.holds == "points":
        _check_points(name, value, field)
    elif not isinstance(value, list | tuple) or not all(isinstance(each, str) for each in value):
        raise InputError(_("{field} must be a list of texts.").format(field=name))


def _check_points(name: str, value: JsonValue, field: Field) -> None:
    points = (
        [each for each in value if isinstance(each, list | tuple)] if isinstance(value, list | tuple) else []
    )
    if [len(each) for each in points] != [2, 2] or len(points) != len(value):  # type: ignore[arg-type]
        raise InputError(_("{field} must be two points, each its share across and down.").format(field=name))
    for point in points:
        for share in point:
            _check_number(name, share, field)
    (x, y), (other_x, other_y) = points
    if math.hypot(x - other_x, y - other_y) < _LEAST_APART:
        raise InputError(
            _("{field}: both points are in one place; mark two that lie apart.").format(field=name)
        )


def _check_number(name: str, value: JsonValue, field: Field) -> None:
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise InputError(_("{field} is {value}, which is no number.").format(field=name, value=value))
    whole = field.holds == "whole"
    if not field.low <= value <= field.high or (whole and value != int(value)):
        span = _("{low} to {high}").format(low=f"{field.low:g}", high=f"{field.high:g}")
        accepted = _("a whole number, {span}").format(span=span) if whole else span
        raise out_of_range(name, f"{value:g}", accepted)


def check_interval(data: Mapping[str, JsonValue], on: date | None) -> None:
    """Refuse a stage whose last visit before it lies after the day on which it was seen.

    Parameters
    ----------
    data : mapping
        Of a stage entry, checked.
    on : date or None
        The last day on which it may have been seen; None if unknown.

    Raises
    ------
    RangeError
        If the visits are the wrong way round.

    Examples
    --------
    >>> check_interval({"last_seen_before": "2027-02-20"}, date(2027, 2, 28))
    """
    before = data.get("last_seen_before")
    if before is None or on is None:
        return
    if date.fromisoformat(str(before)) > on:
        raise out_of_range(
            "stage last_seen_before",
            str(before),
            _("up to {day}, when it was seen").format(day=on.isoformat()),
        )
