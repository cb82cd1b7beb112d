"""A turn as a grower takes it: a known tree in a pot on the printed board, photographed by a phone.

The board is the picture that OpenCV itself prints. The lens has a focal length, a middle and a bend that
nobody is told; the light stands still while the tree turns; every photo is taken from where a hand or a
turntable left it. World: that of the board, mm, its middle the origin, +y to the back, +z up.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from ringwise.structure.cameras import Camera
from trees.generator import Array, Tree
from trees.renderer import Backdrop, Picture, Pixels, light_of, looking
from trees.surfaces import Mesh, board, round_pot, tube, wood

PAPER, INK = 0.74, 0.03
SUN = np.array([-0.5, -0.6, 0.66])  # for a camera in front; it turns with the camera
TEXTURE_PX_PER_MM = 3.0
EDGE_MM = 10.0  # white about the squares
STORED = {  # how an upright picture is laid down for each EXIF orientation (EXIF 2.32, recalled)
    2: "FLIP_LEFT_RIGHT",
    3: "ROTATE_180",
    4: "FLIP_TOP_BOTTOM",
    5: "TRANSPOSE",
    6: "ROTATE_90",
    7: "TRANSVERSE",
    8: "ROTATE_270",
}
PLATE = (0.55, 0.52, 0.48)


@dataclass(frozen=True)
class Phone:
    """A camera of which only the size of its photos is known; the middle is off the picture's middle."""

    width_px: int = 1200
    height_px: int = 1600
    f_px: float = 2650.0
    off_px: tuple[float, float] = (4.0, -3.0)
    k1: float = -0.06
    blur_px: float = 0.7
    noise: float = 0.012
    sharpened: float = 0.0

    @property
    def k(self) -> Array:
        """The matrix of the lens."""
        middle = np.array([self.width_px - 1, self.height_px - 1]) / 2.0 + self.off_px
        return np.array([[self.f_px, 0.0, middle[0]], [0.0, self.f_px, middle[1]], [0.0, 0.0, 1.0]])


@dataclass(frozen=True)
class Scene:
    """A tree in its pot on the board; `place_mm` is how far the pot stands off the board's middle.

    `square_mm` is the square as it lies there, whatever was meant to be printed.
    """

    tree: Tree
    soil_mm: float = 70.0
    rim_mm: float = 180.0
    foot_mm: float = 150.0
    place_mm: tuple[float, float] = (5.0, -7.0)
    columns: int = 16
    rows: int = 11
    square_mm: float = 24.0
    turntable_mm: float = 300.0
    backdrop: Backdrop = field(default_factory=lambda: Backdrop((0.72, 0.73, 0.74), 0.12, 0.15, 0.06))

    @property
    def root_mm(self) -> Array:
        """Where the tree stands."""
        return np.array([*self.place_mm, self.soil_mm])

    @cached_property
    def print_(self) -> Picture:
        """The printed board as a picture, with its white edge."""
        import cv2

        dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_250)
        side = round(self.square_mm * TEXTURE_PX_PER_MM)
        made = cv2.aruco.CharucoBoard((self.columns, self.rows), 1.0, 0.75, dictionary)
        ink = made.generateImage((self.columns * side, self.rows * side), marginSize=0)
        edge = round(EDGE_MM / self.square_mm * side)
        return np.asarray(np.where(np.pad(ink, edge, constant_values=255) > 127, PAPER, INK), np.float32)

    @cached_property
    def standing(self) -> list[Mesh]:
        """Wood, pot and soil."""
        return [
            replace(each, vertices_mm=each.vertices_mm + self.root_mm)
            for each in (wood(self.tree), *round_pot(self.rim_mm, self.foot_mm, self.soil_mm))
        ]

    def lying(self, azimuth_deg: float) -> list[Mesh]:
        """The board, with the shadow of the pot as the light of a camera throws it, and the plate below."""
        print_ = self.print_
        high, wide = print_.shape
        y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
        pixel_mm = self.square_mm / round(self.square_mm * TEXTURE_PX_PER_MM)
        x, y = (x - 0.5 * wide) * pixel_mm, (0.5 * high - y) * pixel_mm
        turned = _turned(SUN, azimuth_deg)
        fall = -turned[:2] / turned[2] * 0.5 * self.soil_mm
        dark = np.hypot(x - self.place_mm[0] - fall[0], y - self.place_mm[1] - fall[1]) < 0.52 * self.rim_mm
        shade = 1.0 - 0.45 * gaussian_filter(dark.astype(np.float32), 8.0)
        plate = tube(
            np.array([[0.0, 0.0, -30.0], [0.0, 0.0, -1.0]]),
            np.full(2, 0.5 * self.turntable_mm),
            sides=128,
            colour=PLATE,
        )
        return [board(print_ * shade, wide * pixel_mm, high * pixel_mm, 0.0), plate]


def _turned(way: Array, azimuth_deg: float) -> Array:
    """A direction that stands still before the camera, in the world of the tree."""
    a = np.radians(azimuth_deg)
    return np.array(
        [np.cos(a) * way[0] - np.sin(a) * way[1], np.sin(a) * way[0] + np.cos(a) * way[1], way[2]]
    )


def round_(
    scene: Scene,
    phone: Phone,
    *,
    views: int = 24,
    elevations: tuple[float, ...] = (5.0, 35.0),
    distance_mm: float = 1150.0,
    seed: int = 1,
) -> list[tuple[float, Camera]]:
    """Cameras round the tree with the azimuth of each, none just where it should be; two heights or more."""
    rng = np.random.default_rng((21, seed))
    per = views // len(elevations)
    aim = scene.root_mm + np.array([0.0, 0.0, 0.5 * scene.tree.height_mm - 0.4 * scene.soil_mm])
    out = []
    for level, rise in enumerate(elevations):
        for number in range(per):
            turn = 360.0 * (number + level / len(elevations)) / per + rng.uniform(-3.0, 3.0)
            camera = looking(
                f"IMG_{len(out) + 1:04}.jpg",
                turn,
                rise + rng.uniform(-1.0, 1.0),
                distance_mm + rng.uniform(-15.0, 15.0),
                aim + rng.uniform(-8.0, 8.0, 3),
                phone.k,
                phone.k1,
            )
            roll = np.radians(rng.uniform(-0.7, 0.7))
            c, s = np.cos(roll), np.sin(roll)
            rolled = np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])
            camera = replace(camera, r=rolled @ camera.r, t_mm=rolled @ camera.t_mm)
            out.append((turn, camera.sized(phone.width_px, phone.height_px)))
    return out


def photo(
    scene: Scene, phone: Phone, turn_deg: float, camera: Camera, *, seed: int = 0, times: int = 3
) -> Pixels:
    """One photo as the phone's file holds it."""
    behind = scene.backdrop.drawn(camera.width_px, camera.height_px)
    meshes = [*scene.standing, *scene.lying(turn_deg)]
    light = light_of(meshes, camera, behind, seed=seed, sun=_turned(SUN, turn_deg), times=times)
    return tones(light, phone, seed)


def empty(scene: Scene, phone: Phone) -> Pixels:
    """The backdrop alone."""
    return tones(scene.backdrop.drawn(phone.width_px, phone.height_px), phone, 999)


def tones(light: Picture, phone: Phone, seed: int) -> Pixels:
    """Light blurred by the lens, in the tones of a camera's file (IEC 61966-2-1, recalled), grainy."""
    blurred = gaussian_filter(light, (phone.blur_px, phone.blur_px, 0.0), mode="nearest")
    blurred = np.clip(blurred, 0.0, 1.0)
    out = np.where(blurred <= 0.0031308, 12.92 * blurred, 1.055 * blurred ** (1 / 2.4) - 0.055)
    out = out.astype(np.float32)
    rng = np.random.default_rng((22, seed))
    out = out + rng.standard_normal(out.shape, dtype=np.float32) * np.float32(phone.noise)
    if phone.sharpened > 0.0:  # as phones do
        out = out + phone.sharpened * (out - gaussian_filter(out, (1.2, 1.2, 0.0), mode="nearest"))
    return np.clip(np.rint(out * 255.0), 0, 255).astype(np.uint8)


def save(file: Path, pixels: NDArray[np.uint8], *, orientation: int = 1, focal_mm: float = 6.9) -> Path:
    """A photo file with what a camera writes; the pixels are stored as the orientation says they lie."""
    from PIL import Image

    image = Image.fromarray(pixels)
    if orientation > 1:
        image = image.transpose(getattr(Image.Transpose, STORED[orientation]))
    notes = Image.Exif()
    notes[0x010F], notes[0x0110], notes[0x0112] = "Works", "Two", orientation
    notes.get_ifd(0x8769)[0x920A] = focal_mm
    if file.suffix == ".heic":
        import pillow_heif

        pillow_heif.register_heif_opener()
        image.save(file, quality=85, exif=notes)
    elif file.suffix == ".png":
        image.save(file, compress_level=1, exif=notes)
    else:
        image.save(file, quality=92, exif=notes)
    return file


def taken(
    folder: Path,
    scene: Scene,
    phone: Phone,
    cameras: list[tuple[float, Camera]],
    *,
    suffix: str = ".jpg",
    times: int = 3,
) -> list[Path]:
    """Write all photos of a round."""
    folder.mkdir(parents=True, exist_ok=True)
    return [
        save(
            folder / (Path(camera.name).stem + suffix),
            photo(scene, phone, turn, camera, seed=number, times=times),
        )
        for number, (turn, camera) in enumerate(cameras)
    ]


def in_tree(measured: Any, scene: Scene) -> Any:
    """A tree as measured on the board, in the coordinates of the tree that was photographed."""
    return replace(measured, origin_mm=tuple(np.asarray(measured.origin_mm) - scene.root_mm))
