"""From photos that were read to a measured tree: cameras, hidden backdrop, pot and rod, the carving."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, is_dataclass, replace
from typing import TYPE_CHECKING, Any, Protocol

import numpy as np
from numpy.typing import NDArray

from ringwise.desk.lives import plain
from ringwise.desk.turntable_files import lens_of
from ringwise.desk.turntable_reading import SeenPhoto, shares_of
from ringwise.desk.turntable_result import READ_SHARE, Progress, TurnResult
from ringwise.desk.turntable_wish import Turn
from ringwise.kit import show
from ringwise.kit.errors import InputError, NotReadyError
from ringwise.kit.words import _
from ringwise.records.photo_decoding import is_sideways

if TYPE_CHECKING:
    from ringwise.structure.cameras import Camera
    from ringwise.structure.measured import MeasuredTree
    from ringwise.structure.photo.calibrate import Round
    from ringwise.structure.photo.pot_rim import Rim
    from ringwise.structure.photo.prepare import Coverage
    from ringwise.structure.photo.refusal import Refused
    from ringwise.structure.photo.standing import PotOutline, Rod
    from ringwise.structure.turntable.reconstruct import Reconstruction

KNOWN = "known"  # where the cameras are from, beside "stored" and "coarse"


class Stages(Protocol):
    """Keeps what was computed, so that a stopped run goes on from it."""

    def held(self) -> dict[str, dict[str, NDArray[Any]]]:
        """What was kept, by stage."""

    def keep(self, stage: str, arrays: Mapping[str, NDArray[Any]]) -> None:
        """Keep one stage."""


@dataclass(frozen=True)
class _Placed:
    """Photos with their cameras, and how those were found."""

    cameras: tuple[Camera, ...]
    refused: list[Refused]
    lens: str
    rms_px: float | None


def _placed(turn: Turn, photos: list[SeenPhoto]) -> _Placed:
    from ringwise.structure.photo.calibrate import calibrate
    from ringwise.structure.photo.known import check_frame

    unread = [each.refused for each in photos if each.refused is not None]
    if turn.board is None:
        bad = {each.name for each in unread}
        cameras = []
        for camera, seen in zip(turn.cameras, photos, strict=True):
            if seen.source.name not in bad and seen.sight is not None:
                shot = seen.sight.shot
                named = replace(camera, name=seen.source.name)
                whole = named.sized(shot.whole_width_px, shot.whole_height_px)
                check_frame(whole, sideways=is_sideways(shot.orientation))
                cameras.append(whole.scaled(1.0 / shot.times, shot.width_px, shot.height_px))
        return _Placed(tuple(cameras), unread, KNOWN, None)
    sights = [each.sight for each in photos if each.sight is not None]
    lens = lens_of(turn.lenses, [sight.shot for sight in sights])
    found = calibrate(sights, turn.board, lens=lens, refused=unread)
    return _Placed(found.cameras, list(found.refused), found.lens, found.rms_px)


def measured_turn(
    turn: Turn, photos: list[SeenPhoto], progress: Progress | None, stages: Stages | None = None
) -> TurnResult:
    """Measure photos that were read.

    Parameters
    ----------
    turn : Turn
        What is measured.
    photos : list of SeenPhoto
        All of it, in its order.
    progress : callable, optional
        Told the share done, and of what.
    stages : Stages, optional
        Keeps what was computed.

    Returns
    -------
    TurnResult
        The tree with its quality.

    Raises
    ------
    NotReadyError
        If too few sound photos are left; the line names each photo with its reason and the way out.
    InputError
        If the board is of the wrong print size.
    """
    from ringwise.structure.photo.calibrate import check_round, round_of
    from ringwise.structure.photo.known import looked_at_mm
    from ringwise.structure.photo.refusal import Refused

    placed = _placed(turn, photos)
    by_name = {each.source.name: each for each in photos}
    turn, rim = _with_pot(turn, placed, by_name)
    kept, covered = _covered(turn, placed, by_name)
    _check_size(kept)
    if not kept:
        raise NotReadyError(_nothing_left(placed.refused))
    about = round_of(kept, looked_at_mm(kept) if turn.board is None else None)
    check_round(about, placed.refused)
    pot_mm = _check_pot(turn, kept, covered, by_name) if rim is None else rim.width_mm
    rod = _rod(turn, kept, covered)
    made = _reconstructed(turn, placed, (kept, covered), progress, stages)
    more = [Refused(each.name, each.why, each.way_out) for each in made.quality.refused]
    placed.refused.extend(more)
    gone = {each.name for each in more}
    used = tuple(_whole(camera, by_name[camera.name]) for camera in kept if camera.name not in gone)
    quality = _quality(made.quality) | _told_quality(placed, about, covered, rod, pot_mm)
    if rim is not None:
        quality["notes"].append(_pot_found(rim))
    if turn.board is not None and (turn.pot_mm is None or pot_mm is None):
        quality["notes"].append(
            _(
                "the pot did not speak for the board's print size: all lengths hang on its square of "
                "{side:g} mm; measure ten squares with a ruler"
            ).format(side=turn.board.square_mm)
        )
    quality["photos"] = len(used)
    return TurnResult(_rod_corrected(made.tree, rod), used, tuple(placed.refused), plain(quality))


def _reconstructed(
    turn: Turn,
    placed: _Placed,
    seen: tuple[list[Camera], list[Coverage]],
    progress: Progress | None,
    stages: Stages | None,
) -> Reconstruction:
    from ringwise.structure.photo.board import threshold
    from ringwise.structure.photo.calibrate import refused_words
    from ringwise.structure.photo.standing import clear_height_mm
    from ringwise.structure.turntable.reconstruct import reconstruct
    from ringwise.structure.turntable.views import View

    cameras, covered = seen
    standing = _standing(turn)
    views = [
        View(camera, each.values, _hidden(turn, camera))
        for camera, each in zip(cameras, covered, strict=True)
    ]

    def told(share: float, what: str) -> bool:
        if progress is not None:
            progress(READ_SHARE + (1.0 - READ_SHARE) * share, what)
        return True

    try:
        made = reconstruct(
            views,
            soil_mm=turn.soil_mm,
            clear_mm=0.0 if standing is None else clear_height_mm(cameras, standing, turn.soil_mm),
            progress=told,
            resume=None if stages is None else stages.held(),
            keep=None if stages is None else stages.keep,
        )
    except InputError as wrong:
        raise InputError(wrong.message + refused_words(placed.refused)) from None
    if made.quality.covered_frac < threshold("round", "least_covered_frac"):
        raise InputError(
            _(
                "the tree that these photos agree on is only {share:.0%} of the wood they show: tree, pot "
                "or board was moved between them, or they are of two turns; measure the photos of one turn "
                "alone."
            ).format(share=made.quality.covered_frac)
            + refused_words(placed.refused)
        )
    return made


def _whole(camera: Camera, seen: SeenPhoto) -> Camera:
    """A camera in pixels of the photo's file, also where a smaller picture was measured on."""
    if seen.sight is None:
        return camera
    shot = seen.sight.shot
    return camera.scaled(shot.times, shot.whole_width_px, shot.whole_height_px)


def _nothing_left(refused: list[Refused]) -> str:
    from ringwise.structure.photo.calibrate import refused_words

    return _("no photo can be used.") + refused_words(refused)


def _covered(
    turn: Turn, placed: _Placed, by_name: dict[str, SeenPhoto]
) -> tuple[list[Camera], list[Coverage]]:
    """Cameras that are kept, with their coverage; what stands on the board is hidden, bad ones are named."""
    from ringwise.structure.photo.prepare import refused_by_coverage, with_hidden
    from ringwise.structure.photo.refusal import refused_by_light

    kept, covered = [], []
    for camera in placed.cameras:
        seen = by_name[camera.name]
        if seen.coverage is None or seen.sight is None:
            continue
        shares = shares_of(seen.coverage)
        hidden = _hidden(turn, camera)
        if hidden is not None:
            shares = with_hidden(shares, hidden)
        # an even frame is asked for where a board's photo has table and pot in it; drawn pictures fill it
        refused = refused_by_coverage(camera.name, shares, below_counts=False)
        if refused is not None and not seen.coverage.contrast_frac:
            refused = refused_by_light(seen.sight) or refused
        if refused is not None:
            placed.refused.append(refused)
            continue
        kept.append(camera)
        covered.append(shares)
    return kept, covered


def _with_pot(turn: Turn, placed: _Placed, by_name: dict[str, SeenPhoto]) -> tuple[Turn, Rim | None]:
    """The turn with its pot where given cameras see it; the rim where nobody told its width."""
    from ringwise.structure.photo.pot_rim import rim_below
    from ringwise.structure.photo.standing import PotOutline

    seen = [(camera, by_name[camera.name].coverage) for camera in placed.cameras]
    pairs = [(camera, each.steps) for camera, each in seen if each is not None]
    if turn.board is not None or not pairs:
        return turn, None
    rim = rim_below([camera for camera, _steps in pairs], [steps for _camera, steps in pairs], turn.soil_mm)
    if rim is None:
        return turn, None
    if turn.pot is not None:
        return replace(turn, pot=replace(turn.pot, at_mm=rim.at_mm)), None
    return replace(turn, pot=PotOutline(rim.width_mm, rim.width_mm, True, rim.at_mm)), rim


def _pot_found(rim: Rim) -> str:
    return _(
        "what stands below the soil, {width} wide, was taken for a pot; give its width with --pot"
    ).format(width=show.length(rim.width_mm))


def _standing(turn: Turn) -> PotOutline | None:
    """The pot; one that is not known is taken to be as deep as the board."""
    from ringwise.structure.photo.standing import PotOutline

    if turn.pot is not None or turn.board is None:
        return turn.pot
    return PotOutline(turn.board.depth_mm, turn.board.depth_mm, True) if turn.soil_mm > 0.0 else None


def _hidden(turn: Turn, camera: Camera) -> NDArray[np.bool_] | None:
    from ringwise.structure.photo.standing import hidden_region

    if turn.board is None and turn.pot is None:
        return None
    return hidden_region(camera, turn.soil_mm, board=turn.board, pot=_standing(turn))


def _check_size(cameras: list[Camera]) -> None:
    sizes = {(camera.width_px, camera.height_px) for camera in cameras}
    if len(sizes) > 1:
        told = ", ".join(f"{width} x {height}" for width, height in sorted(sizes))
        raise InputError(
            _("the pictures are of different sizes ({sizes} pixels); give all in one size.").format(
                sizes=told
            )
        )


def _check_pot(
    turn: Turn, cameras: list[Camera], covered: list[Coverage], by_name: dict[str, SeenPhoto]
) -> float | None:
    """The pot's width as seen; refuses a board of another print size."""
    from ringwise.structure.photo.calibrate import check_pot
    from ringwise.structure.photo.standing import pot_width_mm

    if turn.soil_mm <= 0.0 or turn.board is None:
        return None
    whole = [by_name[camera.name].coverage for camera in cameras]
    bare = [shares_of(each).values for each in whole if each is not None]
    found = pot_width_mm(cameras, bare, turn.soil_mm, turn.board)
    if found is not None and turn.pot_mm is not None:
        check_pot(found, turn.pot_mm, turn.board.square_mm)
    return found


def _rod(turn: Turn, cameras: list[Camera], covered: list[Coverage]) -> Rod | None:
    from ringwise.structure.photo.standing import find_rod

    if turn.rod_mm is None:
        return None
    reach_mm = 150.0
    if turn.pot is not None:
        reach_mm = 0.5 * max(turn.pot.length_mm, turn.pot.width_mm)
    elif turn.board is not None:
        reach_mm = 0.5 * min(turn.board.width_mm, turn.board.depth_mm)
    return find_rod(cameras, [each.values for each in covered], turn.rod_mm, turn.soil_mm, reach_mm)


def _rod_corrected(measured: MeasuredTree, rod: Rod | None) -> MeasuredTree:
    """Radii read from images moved by what the rod's edges are off, unless that is too much to believe."""
    from ringwise.structure.measured import How
    from ringwise.structure.photo.board import threshold

    if rod is None or abs(rod.edge_shift_mm) > threshold("rod", "most_shift_mm"):
        return measured
    radius = np.sqrt(measured.table.wood_mm2.astype(np.float64) / np.pi)
    seen = np.isin(measured.how, [int(How.IMAGE), int(How.FILLED)])
    moved = np.where(seen, np.maximum(radius + rod.edge_shift_mm, 0.5 * radius), radius)
    wood = (np.pi * moved**2).astype(np.float32)
    share = np.divide(
        wood, measured.table.wood_mm2, where=measured.table.wood_mm2 > 0, out=np.ones_like(wood)
    )
    sapwood = (measured.table.sapwood_mm2 * share).astype(np.float32)
    return replace(
        measured,
        table=replace(measured.table, wood_mm2=wood, sapwood_mm2=sapwood),
        sections=tuple(
            replace(
                each,
                girth_mm=each.girth_mm + 2.0 * np.pi * rod.edge_shift_mm,
                radii_mm=each.radii_mm + np.float32(rod.edge_shift_mm),
            )
            for each in measured.sections
        ),
    )


def _quality(quality: Any) -> dict[str, Any]:
    told: Any = asdict(quality) if is_dataclass(quality) and not isinstance(quality, type) else dict(quality)
    return {str(key): _listed(value) for key, value in told.items()}


def _listed(value: Any) -> Any:
    if hasattr(value, "tolist"):
        return value.tolist()
    if isinstance(value, dict):
        return {str(key): _listed(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_listed(each) for each in value]
    return value


def _told_quality(
    placed: _Placed, about: Round, covered: list[Coverage], rod: Rod | None, pot_mm: float | None
) -> dict[str, Any]:
    notes = []
    if placed.lens == "coarse":
        notes.append(
            _(
                "the lens is coarse: its middle was held at the middle of the picture; calibrate it once "
                "with ringwise measure lens"
            )
        )
    if about.one_height:
        notes.append(_("all photos are from one height: crossing branches may leave false tips"))
    polarities = sorted({each.polarity for each in covered})
    told: dict[str, Any] = {
        "photos": len(covered),
        "lens": placed.lens,
        "board_rms_px": placed.rms_px,
        "largest_gap_deg": about.largest_gap_deg,
        "heights_deg": [float(about.elevations_deg.min()), float(about.elevations_deg.max())],
        "polarity": polarities[0] if len(polarities) == 1 else "mixed",
        "backdrop": sorted({each.backdrop for each in covered})[0],
        "pot_width_mm": pot_mm,
        "rod": None if rod is None else asdict(rod) | {"edge_shift_mm": rod.edge_shift_mm},
        "refused": [asdict(each) for each in placed.refused],
        "notes": notes,
    }
    return told
