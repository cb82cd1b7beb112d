"""Photos that cannot be used, each by its name, the reason, and the way out."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from ringwise.kit.words import _
from ringwise.structure.photo.board import threshold
from ringwise.structure.photo.sight import Shot, Sight


@dataclass(frozen=True)
class Refused:
    """One photo that is left out."""

    name: str
    why: str
    way_out: str

    @property
    def line(self) -> str:
        """All of it in one line."""
        return f"{self.name}: {self.why}. {self.way_out}"


def refused_by_camera(shots: Sequence[Shot]) -> list[Refused]:
    """Photos that another lens, zoom, size or cut parts from the rest, by what the camera wrote.

    Parameters
    ----------
    shots : sequence of Shot
        The whole set.

    Returns
    -------
    list of Refused
        In the order of the set; the larger part of the set is taken as right.

    Source
    ------
    own: rows picture of photo.csv.

    Examples
    --------
    >>> refused_by_camera([Shot("a", 40, 30), Shot("b", 40, 30), Shot("c", 30, 40)])[0].name
    'c'
    """
    if not shots:
        return []
    usual_size = Counter((shot.width_px, shot.height_px) for shot in shots).most_common(1)[0][0]
    lenses = Counter(_lens(shot) for shot in shots if shot.focal_mm is not None)
    usual_lens = lenses.most_common(1)[0][0] if lenses else None
    found = (_of_camera(shot, usual_size, usual_lens) for shot in shots)
    return [each for each in found if each is not None]


def _lens(shot: Shot) -> tuple[float, float, float]:
    return (shot.focal_mm or 0.0, shot.focal_35_mm or 0.0, shot.zoom_factor)


def _of_camera(shot: Shot, size: tuple[int, int], lens: tuple[float, float, float] | None) -> Refused | None:
    told = f"{shot.width_px} x {shot.height_px}"
    usual = f"{size[0]} x {size[1]}"
    slack = threshold("picture", "aspect_slack_frac")
    if (shot.height_px, shot.width_px) == size and size[0] != size[1]:
        return Refused(
            shot.name,
            _("it stands upright among photos that lie ({size} against {usual} pixels)").format(
                size=told, usual=usual
            )
            if size[0] > size[1]
            else _("it lies among photos that stand upright ({size} against {usual} pixels)").format(
                size=told, usual=usual
            ),
            _("Take it again with the camera held as for the others, or leave it out."),
        )
    aspect, usual_aspect = shot.width_px / shot.height_px, size[0] / size[1]
    if shot.cut or abs(aspect / usual_aspect - 1.0) > slack:
        return Refused(
            shot.name,
            _("it is cropped ({size} pixels; the others have {usual})").format(size=told, usual=usual),
            _("Give the photo as the camera made it: a cut moves the middle of the lens."),
        )
    if (shot.width_px, shot.height_px) != size:
        return Refused(
            shot.name,
            _("it has {size} pixels and the others {usual}").format(size=told, usual=usual),
            _("Give the photo in its full size, as the camera made it."),
        )
    if lens is not None and shot.focal_mm is not None:
        slack = threshold("picture", "focal_slack_frac")
        own = _lens(shot)
        if any(max(a, b) > 0 and abs(a - b) > slack * max(a, b) for a, b in zip(own, lens, strict=True)):
            return Refused(
                shot.name,
                _("it was taken at {own} and the others at {usual}").format(
                    own=_lens_words(own), usual=_lens_words(lens)
                ),
                _("Take it again with the same lens and without zoom."),
            )
    return None


def _lens_words(lens: tuple[float, float, float]) -> str:
    words = _("{focal:g} mm").format(focal=round(lens[0], 2))
    if lens[2] > 1.0:
        words = _("{words} with zoom {zoom:g}").format(words=words, zoom=round(lens[2], 2))
    elif lens[1]:
        words = _("{words} ({full:g} mm on full frame)").format(words=words, full=round(lens[1], 1))
    return words


def refused_by_light(sight: Sight) -> Refused | None:
    """A photo that is black or white all over, so that not even a board is seen.

    Parameters
    ----------
    sight : Sight
        Of one photo.

    Returns
    -------
    Refused or None
        None where there is something to see.

    Source
    ------
    own: rows picture of photo.csv.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import sample_sights
    >>> refused_by_light(sample_sights()[0]) is None
    True
    """
    if sight.markers > 0:
        return None
    if sight.black_frac > threshold("picture", "black_frac"):
        return Refused(
            sight.shot.name,
            _("it is black ({share:.0%} of it)").format(share=sight.black_frac),
            _("Take it again with more light or a longer exposure."),
        )
    if sight.blown_frac > threshold("picture", "blown_frac"):
        return Refused(
            sight.shot.name,
            _("it is white all over ({share:.0%} of it)").format(share=sight.blown_frac),
            _("Take it again with a shorter exposure."),
        )
    return None


def refused_by_board(sight: Sight) -> Refused | None:
    """A photo in which the board is not seen, hidden, or another one.

    Parameters
    ----------
    sight : Sight
        Of one photo.

    Returns
    -------
    Refused or None
        None where the board can be used.

    Source
    ------
    own: rows sight of photo.csv.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import sample_sights
    >>> refused_by_board(sample_sights()[0]) is None
    True
    """
    if sight.markers == 0:
        return Refused(
            sight.shot.name,
            _("no board is seen in it"),
            _("Take it again with the whole board in the frame, evenly lit and sharp."),
        )
    if sight.layout_frac < threshold("sight", "layout_frac"):
        return Refused(
            sight.shot.name,
            _("the markers in it lie as on another board ({share:.0%} of {n} fit)").format(
                share=sight.layout_frac, n=sight.markers
            ),
            _("Give the board's own squares from left to right and from back to front, or print it again."),
        )
    least = int(threshold("sight", "least_corners"))
    if len(sight.ids) < least:
        return Refused(
            sight.shot.name,
            _("the board is hidden or seen too flat: {n} corners are seen, {least} are needed").format(
                n=len(sight.ids), least=least
            ),
            _(
                "Use a board that is larger than the pot, with larger squares where the camera is low "
                "(ringwise measure board), and lay nothing on it."
            ),
        )
    return None


def refused_by_blur(sights: Sequence[Sight]) -> list[Refused]:
    """Photos whose edges are much wider than those of the others.

    Parameters
    ----------
    sights : sequence of Sight
        Those that are otherwise sound.

    Returns
    -------
    list of Refused
        In their order.

    Source
    ------
    own: rows picture of photo.csv.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import sample_sights
    >>> refused_by_blur(sample_sights())
    []
    """
    widths = np.array([sight.edge_px for sight in sights])
    if not np.isfinite(widths).any():
        return []
    usual = float(np.nanmedian(widths))
    limit = max(threshold("picture", "edge_least_px"), threshold("picture", "edge_to_median_ratio") * usual)
    return [
        _blurred(
            sight,
            _("it is blurred: edges are {width:.1f} pixels wide, {usual:.1f} in the others").format(
                width=sight.edge_px, usual=usual
            ),
        )
        for sight in sights
        if sight.edge_px > limit
    ]


def _blurred(sight: Sight, why: str) -> Refused:
    return Refused(sight.shot.name, why, _("Take it again from a tripod, with the focus locked and no wind."))


def refused_as_soft(sights: Sequence[Sight]) -> list[Refused]:
    """Photos on which no board is found because they are blurred: much less detail than those that show one.

    Parameters
    ----------
    sights : sequence of Sight
        Those with light enough.

    Returns
    -------
    list of Refused
        In their order.

    Source
    ------
    own: rows picture of photo.csv.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import sample_sights
    >>> refused_as_soft(sample_sights())
    []
    """
    found = [sight.sharp_index for sight in sights if sight.markers > 0]
    if not found:
        return []
    usual = float(np.median(found))
    limit = threshold("picture", "detail_ratio") * usual
    least = int(threshold("sight", "least_corners"))
    return [
        _blurred(
            sight,
            _("it is blurred: it shows {share:.0%} of the detail of the others").format(
                share=sight.sharp_index / usual
            ),
        )
        for sight in sights
        if len(sight.ids) < least and sight.sharp_index < limit
    ]


def refused_as_double(sights: Sequence[Sight]) -> list[Refused]:
    """Photos that show the board just as an earlier one does.

    Parameters
    ----------
    sights : sequence of Sight
        Those that are otherwise sound.

    Returns
    -------
    list of Refused
        The later one of each pair.

    Source
    ------
    own: rows sight of photo.csv.

    Examples
    --------
    >>> from ringwise.structure.photo.samples import sample_sights
    >>> sights = sample_sights()
    >>> [each.name for each in refused_as_double([*sights, sights[3]])]
    ['3.jpg']
    """
    refused: list[Refused] = []
    kept: list[Sight] = []
    for sight in sights:
        twin = next((each for each in kept if _is_same(each, sight)), None)
        if twin is None:
            kept.append(sight)
            continue
        refused.append(
            Refused(
                sight.shot.name,
                _("it shows the same as {other}").format(other=twin.shot.name),
                _("Turn the tree a step between two photos; leave this one out."),
            )
        )
    return refused


def _is_same(one: Sight, other: Sight) -> bool:
    _shared, mine, theirs = np.intersect1d(one.ids, other.ids, return_indices=True)
    if len(mine) < int(threshold("sight", "least_corners")):
        return False
    shift = np.linalg.norm(one.corners_px[mine] - other.corners_px[theirs], axis=1)
    return float(shift.mean()) < threshold("sight", "same_px")
