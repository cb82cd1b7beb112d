"""How sure a tree is, and trees that are as likely as the measured one.

An error of thickness or place is much the same along one branch: a calliper set too tightly, a point
clicked to the side, a pose that is a little off. So each axis has one draw, which is also the cautious
reading: errors that were drawn anew for every segment would cancel along a branch.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from ringwise.kit import chance
from ringwise.kit.types import BoolArray, FloatArray, IntArray
from ringwise.structure.measured import How, MeasuredTree
from ringwise.structure.measuring_data import measuring
from ringwise.structure.orders import axes_of
from ringwise.structure.table import Flag, SegmentTable

LEAST_RADIUS_FRAC = 0.2  # however unsure a radius is, wood stays wood
LEAST_LENGTH_FRAC = 0.05


def of_reading(table: SegmentTable, taken: BoolArray) -> MeasuredTree:
    """A tree from a tape with how sure its thicknesses are: by tape, by calliper, by the pipe rule.

    Parameters
    ----------
    table : SegmentTable
        From `tree_from_tape`; its trunk is marked where the tape was laid.
    taken : (n,) bool
        Segments at which a calliper was set.

    Returns
    -------
    MeasuredTree
        Places are as sure as a tape reads; what lies between them is luck, which the equally likely trees
        show.

    Source
    ------
    own: table `measuring`, rows `reading`.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> of_reading(single_segment(length_mm=40.0, diameter_mm=3.0), np.array([True])).how.tolist()
    [3]
    """
    by_tape = (table.flags & Flag.MEASURED) > 0
    radius = table.diameter_mm / 2.0
    sd = np.where(by_tape, measuring("reading", "girth_sd_mm") / (2.0 * np.pi), 0.0)
    sd = np.where(taken, measuring("reading", "calliper_sd_mm") / 2.0, sd)
    sd = np.where(by_tape | taken, sd, measuring("reading", "pipe_sd_frac") * radius)
    how = np.select([by_tape, taken], [int(How.TAPE), int(How.CALLIPER)], int(How.PIPE))
    return MeasuredTree(table, sd, np.asarray(measuring("reading", "place_sd_mm")), how)


def assumed_spread(table: SegmentTable) -> MeasuredTree:
    """A tree that nobody measured but for trunk and height, with a wide spread.

    Parameters
    ----------
    table : SegmentTable
        A tree.

    Returns
    -------
    MeasuredTree
        Thickness assumed.

    Source
    ------
    own: table `measuring`, row `assumed_sd_frac`.

    Examples
    --------
    >>> from ringwise.structure.table import single_segment
    >>> assumed_spread(single_segment(length_mm=40.0, diameter_mm=4.0)).radius_sd_mm.round(3).tolist()
    [0.6000000238418579]
    """
    sd = measuring("reading", "assumed_sd_frac") * table.diameter_mm / 2.0
    return MeasuredTree(table, sd, np.asarray(np.nan), np.asarray(int(How.ASSUMED)))


def moved(measured: MeasuredTree, seed: int, draws: int) -> tuple[FloatArray, FloatArray]:
    """Diameters and upper ends of trees as likely as the measured one.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    seed : int
        Of the draws.
    draws : int
        How many trees.

    Returns
    -------
    (draws, n) float, (draws, n, 3) float
        Diameter at the lower end and place of the upper end, in mm; an unknown spread moves nothing.

    Source
    ------
    own: one normal draw an axis, for thickness and for each direction.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=4.0), position_sd_mm=0.0)
    >>> moved(stem, 1, 2)[1][:, 0, 2].tolist()
    [40.0, 40.0]
    """
    table = measured.table
    foot = axes_of(table)
    luck = _luck(seed, foot, draws)
    radius = table.diameter_mm / 2.0
    radius_sd, place_sd = (
        np.nan_to_num(each.astype(np.float64)) for each in (measured.radius_sd_mm, measured.position_sd_mm)
    )
    drawn = np.maximum(radius + luck[:, :, 0] * radius_sd, LEAST_RADIUS_FRAC * radius)
    ends = table.end_mm + luck[:, :, 1:] * place_sd[None, :, None]
    return 2.0 * drawn, ends


def likely(measured: MeasuredTree, seed: int) -> MeasuredTree:
    """One tree that is as likely as the measured one.

    Parameters
    ----------
    measured : MeasuredTree
        A tree.
    seed : int
        Which; the same seed gives the same tree.

    Returns
    -------
    MeasuredTree
        With the same forks, its thicknesses and places moved by their spread.

    Source
    ------
    own: `moved`.

    Examples
    --------
    >>> from ringwise.structure.measured import measured_of
    >>> from ringwise.structure.table import single_segment
    >>> stem = measured_of(single_segment(length_mm=40.0, diameter_mm=4.0), radius_sd_mm=0.2)
    >>> likely(stem, 1).table.wood_mm2[0] != stem.table.wood_mm2[0]
    np.True_
    """
    table = measured.table
    diameters, all_ends = moved(measured, seed, 1)
    ends = all_ends[0]
    steps = ends - np.where((table.parent >= 0)[:, None], ends[table.parent], 0.0)
    length = np.linalg.norm(steps, axis=1)
    short = length < LEAST_LENGTH_FRAC * table.length_mm  # turned over or vanished: left as it was measured
    steps = np.where(short[:, None], table.direction, steps / np.maximum(length, 1e-9)[:, None])
    length = np.where(short, table.length_mm, length)
    wood = np.pi / 4.0 * diameters[0] ** 2
    share = np.minimum(1.0, table.sapwood_mm2.astype(np.float64) / table.wood_mm2)
    return replace(
        measured,
        table=replace(table, length_mm=length, direction=steps, wood_mm2=wood, sapwood_mm2=share * wood),
    )


def _luck(seed: int, foot: IntArray, draws: int) -> FloatArray:
    """Standard normal draws (draws, n, 4), one a foot of an axis, given to all its rows."""
    feet, of_foot = np.unique(foot, return_inverse=True)
    tree, kind = np.arange(draws)[:, None, None], np.arange(4)[None, None, :]
    drawn = chance.normal(seed, tree, 0, kind, chance.Purpose.SHAPE, feet[None, :, None])
    return np.asarray(drawn[:, of_foot])
