"""Any measured tree, for properties: every column used, unknown spreads, outlines of the trunk."""

from __future__ import annotations

import numpy as np
from hypothesis import strategies as st

from ringwise.structure.measured import How, MeasuredTree
from ringwise.structure.section import Section
from ringwise.structure.table import SegmentTable

_SIZES = st.floats(0.015625, 4000.0, width=32)
_SPREADS = st.one_of(st.just(float("nan")), st.floats(0.0, 50.0, width=32))
_PLACES = st.floats(-1e5, 1e5)


def _list(draw: st.DrawFn, values: st.SearchStrategy[float], n: int) -> np.ndarray:
    return np.array(draw(st.lists(values, min_size=n, max_size=n)))


@st.composite
def sections(draw: st.DrawFn) -> Section:
    """An outline of a trunk."""
    radii = draw(st.lists(st.floats(1.0, 500.0, width=32), min_size=3, max_size=12))
    return Section(draw(st.floats(0.0, 900.0)), draw(_SIZES), draw(_SPREADS), np.array(radii))


@st.composite
def measured_trees(draw: st.DrawFn, most: int = 25) -> MeasuredTree:
    """Any tree of up to so many segments."""
    n = draw(st.integers(1, most))
    parent = [-1] + [draw(st.integers(0, row - 1)) for row in range(1, n)]
    turn, rise = _list(draw, st.floats(0.0, 6.2), n), _list(draw, st.floats(-1.0, 1.0), n)
    flat = np.sqrt(1.0 - rise**2)
    wood = _list(draw, _SIZES, n)
    table = SegmentTable(
        parent=np.array(parent),
        order=_list(draw, st.integers(0, 300), n),
        born=_list(draw, st.integers(-300, 3000), n),
        length_mm=_list(draw, _SIZES, n),
        direction=np.stack([flat * np.sin(turn), flat * np.cos(turn), rise], axis=1),
        wood_mm2=wood,
        sapwood_mm2=wood * _list(draw, st.floats(0.0, 1.0), n),
        leaf_cm2=_list(draw, st.floats(0.0, 90.0, width=32), n),
        buds=_list(draw, st.integers(0, 255), n),
        clone=_list(draw, st.integers(0, 255), n),
        flags=_list(draw, st.integers(0, 65535), n),
        basis=draw(st.sampled_from(["tape", "traced", "basics"])),
    )
    return MeasuredTree(
        table,
        _list(draw, _SPREADS, n),
        _list(draw, _SPREADS, n),
        _list(draw, st.integers(0, int(max(How))), n),
        tuple(draw(st.lists(sections(), max_size=3))),
        (draw(_PLACES), draw(_PLACES), draw(_PLACES)),
    )


def same(first: MeasuredTree, second: MeasuredTree, *, rows_only: bool = False) -> None:
    """Nothing when two trees hold the same numbers bit by bit, else an assertion that names the column."""
    from ringwise.structure.exchange.columns import columns_of

    other = columns_of(second)
    for name, values in columns_of(first).items():
        np.testing.assert_array_equal(values, other[name], err_msg=name)
        assert values.dtype == other[name].dtype
    if rows_only:
        return
    assert first.table.basis == second.table.basis
    assert first.origin_mm == second.origin_mm
    assert len(first.sections) == len(second.sections)
    for one, two in zip(first.sections, second.sections, strict=True):
        np.testing.assert_array_equal(one.radii_mm, two.radii_mm)
        assert (one.height_mm, one.girth_mm) == (two.height_mm, two.girth_mm)
        np.testing.assert_array_equal(one.girth_sd_mm, two.girth_sd_mm)
