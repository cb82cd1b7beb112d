"""Reads the clicks of a points file and says in one line what is wrong with them and where."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np

from ringwise.kit.errors import FileFormatError, InputError, MissingFieldError, RangeError, out_of_range
from ringwise.kit.types import FloatArray
from ringwise.kit.words import _
from ringwise.structure.trace.points import (
    LAYOUT,
    SCALES,
    VERSION,
    VIEWS,
    Scale,
    TracedBranch,
    TracedView,
    TracePoints,
)

_USUAL_CLOCK = {"front": 6.0, "side": 3.0}
_HOURS = 12.0
_BEYOND = 1e12  # no length, angle or count of pixels comes near
_LEAST_CLICKS = 2
_MOST_CLICKS = 400
_MOST_BRANCHES = 600
_TILT_CLICKS = 4
_FOCAL_MM = (8.0, 400.0)
_SIZE_MM = (5.0, 5000.0)
_LEAST_SCALE_PX = 20.0
_WHOLE = ("layout", "version", "photos", "branches")
_PHOTO = ("clock", "width_px", "height_px", "scale", "focal_35mm_mm", "rim", "soil", "image")
_SCALE = ("kind", "points", "length_mm", "in_front_mm")
_BRANCH = ("id", "parent", "edges", *VIEWS)


def points_from_json(data: Any, *, partly: bool = False) -> TracePoints:
    """The clicks from the JSON of a points file.

    Parameters
    ----------
    data : mapping
        As documented in `docs/reference/trace_points.md`.
    partly : bool
        Whether branches may still have a single click, as while somebody traces; they are left out.

    Returns
    -------
    TracePoints
        Checked, sorted so that parents come first.

    Raises
    ------
    MissingFieldError, FileFormatError, RangeError, InputError
        One line that names the photo and the branch and the way out.

    Source
    ------
    own.

    Examples
    --------
    >>> scale = {"kind": "rule", "points": [[10, 90], [110, 90]], "length_mm": 50}
    >>> front = {"width_px": 200, "height_px": 100, "scale": scale}
    >>> trunk = {"id": "trunk", "parent": None, "front": [[50, 90], [50, 20]]}
    >>> found = points_from_json({"layout": "ringwise-trace", "version": 1,
    ...                           "photos": {"front": front}, "branches": [trunk]})
    >>> found.views[0].clock, found.branches[0].id
    (6.0, 'trunk')
    """
    whole = _keys(data, _WHOLE, _("the points"))
    if whole.get("layout") != LAYOUT or whole.get("version") != VERSION:
        raise FileFormatError(
            _(
                'are not in the layout "{layout}", version {version}; see docs/reference/trace_points.md'
            ).format(layout=LAYOUT, version=VERSION),
            where=_("the points"),
        )
    photos = whole.get("photos")
    if not isinstance(photos, Mapping) or "front" not in photos:
        raise MissingFieldError(_('the points need "photos" with at least "front"'))
    for name in photos:
        if name not in VIEWS:
            raise FileFormatError(_("photos has the key {name}; front and side are known").format(name=name))
    views = tuple(_view(name, photos[name]) for name in VIEWS if name in photos)
    _check_sides(views)
    return TracePoints(views, _branches(whole.get("branches"), views, partly))


def _keys(data: Any, known: Sequence[str], where: str) -> Mapping[str, Any]:
    if not isinstance(data, Mapping):
        raise FileFormatError(
            _("hold no set of keys such as {names}").format(names=", ".join(known[:3])), where=where
        )
    for key in data:
        if key not in known:
            raise FileFormatError(
                _("has the key {name}, which is unknown. Accepted: {names}.").format(
                    name=key, names=", ".join(known)
                ),
                where=where,
            )
    return data


def _number(data: Mapping[str, Any], key: str, where: str, low: float, high: float, unit: str) -> float:
    given = data[key]
    wrong_kind = isinstance(given, bool) or not isinstance(given, int | float)
    if wrong_kind or abs(given) > _BEYOND or not math.isfinite(given):
        raise FileFormatError(_("{name} is no number").format(name=key), where=where)
    if not low <= given <= high:
        raise _placed(
            out_of_range(key, f"{given:g} {unit}".strip(), f"{low:g} to {high:g} {unit}".strip()), where
        )
    return float(given)


def _places(given: Any, key: str, where: str, size: tuple[int, int], counts: tuple[int, int]) -> FloatArray:
    wrong = FileFormatError(_("{name} is no list of places [x, y]").format(name=key), where=where)
    try:
        places = np.array(given if len(given) else np.zeros((0, 2)))
    except (ValueError, TypeError):
        raise wrong from None
    if places.ndim != 2 or places.shape[1] != 2 or places.dtype.kind not in "iuf":
        raise wrong
    places = places.astype(np.float64)
    if not counts[0] <= len(places) <= counts[1]:
        raise _placed(
            out_of_range(
                _("count of places in {name}").format(name=key),
                str(len(places)),
                _("{low} to {high}").format(low=counts[0], high=counts[1]),
            ),
            where,
        )
    outside = ~(
        (places[:, 0] >= -0.5)
        & (places[:, 0] <= size[0] - 0.5)
        & (places[:, 1] >= -0.5)
        & (places[:, 1] <= size[1] - 0.5)
    )
    if outside.any():
        x, y = places[int(np.argmax(outside))]
        raise _placed(
            out_of_range(
                _("place {n} of {name}").format(n=int(np.argmax(outside)) + 1, name=key),
                f"{x:g}, {y:g} px",
                _("within the picture of {width} x {height} px").format(width=size[0], height=size[1]),
                way_out=_("Give places of the upright photo at its full size."),
            ),
            where,
        )
    return places


def _placed(wrong: RangeError, where: str) -> RangeError:
    wrong.where = where
    return wrong


def _photo_shown(name: str) -> str:
    return {"front": _("front photo"), "side": _("side photo")}[name]


def _view(name: str, data: Any) -> TracedView:
    where = _photo_shown(name)
    given = _keys(data, _PHOTO, where)
    for key in ("width_px", "height_px"):
        if key not in given:
            raise MissingFieldError(_("needs {name}").format(name=key), where=where)
    width, height = (int(_number(given, key, where, 16, 30000, "px")) for key in ("width_px", "height_px"))
    size = (width, height)
    clock = _number(given, "clock", where, 0.0, _HOURS, "h") if "clock" in given else _USUAL_CLOCK[name]
    focal = given.get("focal_35mm_mm")
    rim, soil = given.get("rim"), given.get("soil")
    return TracedView(
        name=name,
        clock=clock,
        width_px=width,
        height_px=height,
        scale=_scale(given.get("scale"), where, size),
        focal_35mm_mm=None if focal is None else _number(given, "focal_35mm_mm", where, *_FOCAL_MM, "mm"),
        rim_px=None if rim is None else _places(rim, "rim", where, size, (_TILT_CLICKS, _TILT_CLICKS)),
        soil_px=None if soil is None else _places(soil, "soil", where, size, (2, 2)),
        image=str(given.get("image", "")),
    )


def _scale(data: Any, where: str, size: tuple[int, int]) -> Scale:
    if data is None:
        raise MissingFieldError(
            _("has no scale; mark the pot's rim at its widest or a rule, and give its length in mm"),
            where=where,
        )
    given = _keys(data, _SCALE, where)
    for key in ("kind", "points", "length_mm"):
        if key not in given:
            raise MissingFieldError(_("its scale needs {name}").format(name=key), where=where)
    if given["kind"] not in SCALES:
        raise FileFormatError(
            _("the kind of its scale is {kind}; rim and rule are known").format(kind=given["kind"]),
            where=where,
        )
    points = _places(given["points"], _("scale"), where, size, (2, 2))
    length_mm = _number(given, "length_mm", where, *_SIZE_MM, "mm")
    front = (
        _number(given, "in_front_mm", where, -_SIZE_MM[1], _SIZE_MM[1], "mm")
        if "in_front_mm" in given
        else 0.0
    )
    scale = Scale(given["kind"], points, length_mm, front)
    if scale.length_px < _LEAST_SCALE_PX:
        raise _placed(
            out_of_range(
                _("length of the scale"),
                f"{scale.length_px:.0f} px",
                _("{n} px or more").format(n=f"{_LEAST_SCALE_PX:g}"),
                way_out=_("Mark both ends of the rim or the rule."),
            ),
            where,
        )
    return scale


def _check_sides(views: Sequence[TracedView]) -> None:
    """Two views must look from clearly different sides, and not from opposite ones."""
    if len(views) < len(VIEWS):
        return
    apart = abs(math.sin((views[0].clock - views[1].clock) / _HOURS * 2.0 * math.pi))
    if apart < math.sin(math.radians(60.0)):  # as two clock hours do
        raise _placed(
            out_of_range(
                _("clock of the view"),
                f"{views[1].clock:g}",
                _("two to four hours from that of the front photo, best three"),
            ),
            _photo_shown("side"),
        )


def _branches(data: Any, views: Sequence[TracedView], partly: bool) -> tuple[TracedBranch, ...]:
    if not isinstance(data, Sequence) or isinstance(data, str) or (len(data) == 0 and not partly):
        raise MissingFieldError(_('the points need "branches": a list that begins with the trunk'))
    if len(data) > _MOST_BRANCHES:
        raise out_of_range(_("branches"), str(len(data)), _("at most {n}").format(n=_MOST_BRANCHES))
    found: dict[str, TracedBranch] = {}
    for number, each in enumerate(data, start=1):
        branch = _branch(each, number, views, partly)
        if branch.id in found:
            raise InputError(_("branch {id} is there twice; give each its own id").format(id=branch.id))
        found[branch.id] = branch
    if partly:
        found = {id: each for id, each in found.items() if each.clicks_px}
        found = {id: each for id, each in found.items() if each.parent is None or each.parent in found}
    return _sorted(found, partly)


def _branch(data: Any, number: int, views: Sequence[TracedView], partly: bool) -> TracedBranch:
    given = _keys(data, _BRANCH, _("branch {id}").format(id=number))
    id = given.get("id")
    if not isinstance(id, str) or not id.strip():
        raise MissingFieldError(_("needs an id"), where=_("branch {id}").format(id=number))
    parent = given.get("parent")
    if parent is not None and not isinstance(parent, str):
        raise FileFormatError(_("parent is no id of a branch"), where=_("branch {id}").format(id=id))
    sizes = {view.name: (view.width_px, view.height_px) for view in views}
    clicks: dict[str, FloatArray] = {}
    edges: dict[str, FloatArray] = {}
    for name in VIEWS:
        places = given.get(name)
        if places is None or (isinstance(places, Sequence) and len(places) == 0):
            continue
        where = _("{photo}, branch {id}").format(photo=_photo_shown(name), id=id)
        if name not in sizes:
            raise FileFormatError(_('there are clicks but no such photo under "photos"'), where=where)
        least = 0 if partly else _LEAST_CLICKS
        found = _apart(_places(places, name, where, sizes[name], (least, _MOST_CLICKS)))
        if len(found) >= _LEAST_CLICKS:
            clicks[name] = found
        elif not partly:
            raise InputError(_("all its clicks lie on one place; click from base to tip"), where=where)
    for name, pairs in _keys(given.get("edges") or {}, VIEWS, _("branch {id}").format(id=id)).items():
        where = _("{photo}, branch {id}").format(photo=_photo_shown(name), id=id)
        edges[name] = _edge_pairs(pairs, where, sizes.get(name))
    if not clicks and not partly:
        raise MissingFieldError(
            _("has no clicks; click it from base to tip in the front or the side photo"),
            where=_("branch {id}").format(id=id),
        )
    return TracedBranch(id, parent, clicks, {name: each for name, each in edges.items() if name in clicks})


def _edge_pairs(pairs: Any, where: str, size: tuple[int, int] | None) -> FloatArray:
    if size is None or not isinstance(pairs, Sequence) or isinstance(pairs, str):
        raise FileFormatError(_("edges are no list of pairs of places"), where=where)
    found = [_places(pair, _("edges"), where, size, (2, 2)) for pair in pairs]
    return np.array(found).reshape(-1, 2, 2)


def _apart(places: FloatArray) -> FloatArray:
    """Clicks without those that repeat the one before."""
    if len(places) == 0:
        return places
    keep = np.concatenate([[True], np.linalg.norm(np.diff(places, axis=0), axis=1) > 0.0])
    return np.asarray(places[keep])


def _sorted(found: dict[str, TracedBranch], partly: bool) -> tuple[TracedBranch, ...]:
    """The trunk first, every parent before its children."""
    trunks = [each for each in found.values() if each.parent is None]
    if partly and not trunks:
        return ()
    if len(trunks) != 1:
        raise InputError(
            _("{n} branches have no parent; exactly one, the trunk, may have none").format(n=len(trunks))
        )
    if not partly and "front" not in trunks[0].clicks_px:
        raise MissingFieldError(
            _("has no clicks; the trunk is needed in the front photo"),
            where=_("{photo}, branch {id}").format(photo=_photo_shown("front"), id=trunks[0].id),
        )
    for each in found.values():
        if each.parent is not None and each.parent not in found:
            raise InputError(
                _("its parent {parent} is not there; trace the parent first or name another one").format(
                    parent=each.parent
                ),
                where=_("{photo}, branch {id}").format(
                    photo=_photo_shown(next(iter(each.clicks_px))), id=each.id
                ),
            )
    done = [trunks[0]]
    for parent in done:  # grows while it is walked
        done += [each for each in found.values() if each.parent == parent.id]
    if len(done) < len(found):
        lost = next(each for each in found.values() if each not in done)
        raise InputError(
            _("its parents go in a circle; the last one must be the trunk"),
            where=_("branch {id}").format(id=lost.id),
        )
    return tuple(done)
