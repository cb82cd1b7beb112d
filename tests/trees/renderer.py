"""Pictures of known surfaces: triangles filled line by line on a finer grid, then averaged and blurred.

Nothing here knows of distances, cones or skeletons, by which trees are measured; only the camera is shared.
Pixel centres are at integers: pixel i covers i - 0.5 to i + 0.5.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numba
import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter

from ringwise.structure.cameras import Camera
from trees.generator import Array
from trees.surfaces import Mesh

Picture = NDArray[np.float32]
Pixels = NDArray[np.uint8]

BLUR_PX = 0.7
NOISE = 0.04
FILL = 0.93  # of the frame that the tree takes up
LIGHT = np.array([-0.45, -0.6, 0.66])


# ------------------------------------------------------------------------------------------ cameras


def looking(
    name: str,
    azimuth_deg: float,
    elevation_deg: float,
    distance_mm: float,
    at_mm: Array,
    k: Array,
    k1: float = 0.0,
) -> Camera:
    """A camera that looks at a place: azimuth 0 is from the front (from -y), 90 from the right (from +x)."""
    turn, rise = np.radians(azimuth_deg), np.radians(elevation_deg)
    away = np.array([np.sin(turn) * np.cos(rise), -np.cos(turn) * np.cos(rise), np.sin(rise)])
    right = np.array([np.cos(turn), np.sin(turn), 0.0])
    down = np.cross(-away, right)
    r = np.array([right, down, -away])
    return Camera(name, k, r, -r @ (np.asarray(at_mm) + away * distance_mm), k1)


def turntable(
    surface: Mesh,
    *,
    views: int = 24,
    elevations: tuple[float, ...] = (5.0, 35.0),
    width_px: int = 1200,
    height_px: int = 1600,
    distance_mm: float = 1300.0,
    k1: float = 0.0,
) -> tuple[Camera, ...]:
    """Cameras round a surface, shared out over the heights, each height a part of a step on, all in frame."""
    low, high = surface.vertices_mm.min(axis=0), surface.vertices_mm.max(axis=0)
    at = np.array([0.0, 0.0, 0.5 * (low[2] + high[2])])
    per = views // len(elevations)
    poses = [
        (360.0 * (number + level / len(elevations)) / per, elevation)
        for level, elevation in enumerate(elevations)
        for number in range(per)
    ]

    def made(focal_px: float, middle: Array) -> tuple[Camera, ...]:
        k = np.array(
            [[focal_px, 0.0, (width_px - 1) / 2.0], [0.0, focal_px, (height_px - 1) / 2.0], [0.0, 0.0, 1.0]]
        )
        return tuple(
            looking(f"view_{number:02d}.png", turn, rise, distance_mm, middle, k, k1).sized(
                width_px, height_px
            )
            for number, (turn, rise) in enumerate(poses)
        )

    reach = np.zeros(2)
    for camera in made(1000.0, at):
        offset = np.abs(falls(surface.vertices_mm, camera)[0] - camera.k[:2, 2])
        reach = np.maximum(reach, offset.max(axis=0))
    return made(1000.0 * FILL * float(np.min(np.array([width_px, height_px]) / 2.0 / reach)), at)


def jittered(cameras: tuple[Camera, ...], jitter_px: float, seed: int) -> tuple[Camera, ...]:
    """Cameras turned a little about both axes across their view: they are off by so many pixels."""
    rng = np.random.default_rng((5, seed))
    out = []
    for camera in cameras:
        about_x, about_y = rng.normal(0.0, jitter_px / camera.k[0, 0], 2)
        c, s = np.cos(about_x), np.sin(about_x)
        turn_x = np.array([[1.0, 0.0, 0.0], [0.0, c, -s], [0.0, s, c]])
        c, s = np.cos(about_y), np.sin(about_y)
        turn_y = np.array([[c, 0.0, s], [0.0, 1.0, 0.0], [-s, 0.0, c]])
        turn = turn_y @ turn_x
        out.append(replace(camera, r=turn @ camera.r, t_mm=turn @ camera.t_mm))
    return tuple(out)


# -------------------------------------------------------------------------------------- silhouettes


@numba.njit(cache=True)
def _falls(points: Array, r: Array, t: Array, k: Array, k1: float) -> Array:  # pragma: no cover
    out = np.empty((len(points), 3))
    for index in range(len(points)):
        x, y, z = points[index]
        u = r[0, 0] * x + r[0, 1] * y + r[0, 2] * z + t[0]
        v = r[1, 0] * x + r[1, 1] * y + r[1, 2] * z + t[1]
        w = r[2, 0] * x + r[2, 1] * y + r[2, 2] * z + t[2]
        out[index, 2] = w
        if w <= 0.0:
            out[index, 0] = out[index, 1] = np.nan
            continue
        u, v = u / w, v / w
        bend = 1.0 + k1 * (u * u + v * v)
        out[index, 0] = k[0, 0] * u * bend + k[0, 2]
        out[index, 1] = k[1, 1] * v * bend + k[1, 2]
    return out


def falls(points: Array, camera: Camera) -> tuple[Array, Array]:
    """Where points fall on a picture and how far away they are, by the formula written out once more."""
    out = _falls(np.ascontiguousarray(points), camera.r, camera.t_mm, camera.k, camera.k1)
    return out[:, :2], out[:, 2]


def _cells(pixels: Array, times: int) -> Array:
    """Places on the finer grid: `times` cells across a pixel, twice as many down."""
    return np.ascontiguousarray((pixels + 0.5) * np.array([times, 2 * times]) - 0.5)


def _shifts(times: int) -> Array:
    """How far the cells of each row of a pixel are moved sideways: an upright edge has many phases."""
    rows = 2 * times
    stride = next(each for each in range(round(0.38 * rows) | 1, 2 * rows) if np.gcd(each, rows) == 1)
    return ((np.arange(rows) * stride) % rows + 0.5) / rows - 0.5


@numba.njit(cache=True)
def _fill(
    fine: Pixels, corners: Array, triangles: NDArray[np.int64], shifts: Array
) -> None:  # pragma: no cover
    """Set every cell whose sampling place lies in a triangle."""
    height, width = fine.shape
    for index in range(len(triangles)):
        ax, ay = corners[triangles[index, 0]]
        bx, by = corners[triangles[index, 1]]
        cx, cy = corners[triangles[index, 2]]
        if not np.isfinite(ax + bx + cx + ay + by + cy):
            continue
        # Of a closed surface the half that faces the camera covers all.
        if (bx - ax) * (cy - ay) > (by - ay) * (cx - ax):
            continue
        top = max(0, int(np.ceil(min(ay, by, cy))))
        bottom = min(height - 1, int(np.floor(max(ay, by, cy))))
        for y in range(top, bottom + 1):
            left, right = 1e30, -1e30
            for edge in range(3):
                px, py, qx, qy = ax, ay, bx, by
                if edge == 1:
                    px, py, qx, qy = bx, by, cx, cy
                elif edge == 2:
                    px, py, qx, qy = cx, cy, ax, ay
                if (py <= y <= qy) or (qy <= y <= py):
                    if py == qy:
                        left, right = min(left, px, qx), max(right, px, qx)
                    else:
                        x = px + (y - py) * (qx - px) / (qy - py)
                        left, right = min(left, x), max(right, x)
            left -= shifts[y % len(shifts)]
            right -= shifts[y % len(shifts)]
            for x in range(max(0, int(np.ceil(left))), min(width - 1, int(np.floor(right))) + 1):
                fine[y, x] = 1


@numba.njit(cache=True)
def _shares(fine: Pixels, times: int) -> Picture:  # pragma: no cover
    height, width = fine.shape[0] // (2 * times), fine.shape[1] // times
    out = np.zeros((height, width), dtype=np.float32)
    for y in range(height):
        for x in range(width):
            total = 0
            for dy in range(2 * times):
                for dx in range(times):
                    total += fine[y * 2 * times + dy, x * times + dx]
            out[y, x] = total / (2 * times * times)
    return out


def silhouette(
    surface: Mesh,
    camera: Camera,
    *,
    times: int = 4,
    blur_px: float = BLUR_PX,
    noise: float = NOISE,
    seed: int = 0,
) -> Picture:
    """Share of each pixel that the surface covers, blurred and noised: 0 backdrop, 1 wood, not clipped."""
    pixels = falls(surface.vertices_mm, camera)[0]
    frame = np.array([camera.width_px, camera.height_px])
    low = np.clip(np.floor(np.nanmin(pixels, axis=0)).astype(int) - 6, 0, frame)
    high = np.clip(np.ceil(np.nanmax(pixels, axis=0)).astype(int) + 7, low, frame)
    size = high - low
    shares = np.zeros((camera.height_px, camera.width_px), dtype=np.float32)
    if size.min() > 0:
        fine = np.zeros((size[1] * 2 * times, size[0] * times), dtype=np.uint8)
        _fill(fine, _cells(pixels - low, times), surface.triangles, _shifts(times))
        part = _shares(fine, times)
        if blur_px > 0.0:
            part = gaussian_filter(part, blur_px, mode="nearest", truncate=5.0)
        shares[low[1] : high[1], low[0] : high[0]] = part
    if noise > 0.0:
        rng = np.random.default_rng((9, seed))
        shares = shares + rng.standard_normal(shares.shape, dtype=np.float32) * np.float32(noise)
    return np.asarray(shares, dtype=np.float32)


def silhouettes(
    surface: Mesh, cameras: tuple[Camera, ...], *, seed: int = 0, noise: float = NOISE, times: int = 4
) -> list[Picture]:
    """One for each camera, each with its own noise."""
    return [
        silhouette(surface, camera, seed=seed * 1000 + number, noise=noise, times=times)
        for number, camera in enumerate(cameras)
    ]


# ----------------------------------------------------------------------------------------- pictures


@numba.njit(cache=True)
def _looked_up(texture: Picture, u: float, v: float) -> float:  # pragma: no cover
    """Value of a laid-on picture at a share of its width and height."""
    rows, columns = texture.shape
    s = min(max(u * columns - 0.5, 0.0), columns - 1.001)
    t = min(max(v * rows - 0.5, 0.0), rows - 1.001)
    m, n = int(t), int(s)
    t -= m
    s -= n
    upper = texture[m, n] * (1 - s) + texture[m, n + 1] * s
    lower = texture[m + 1, n] * (1 - s) + texture[m + 1, n + 1] * s
    return upper * (1 - t) + lower * t


@numba.njit(cache=True)
def _paint(
    band: tuple[Picture, Picture, int], shifts: Array, mesh: tuple[Array, ...]
) -> None:  # pragma: no cover
    """Paint triangles into a band of the fine grid, the nearest in front; `uv` of no rows: plain tones."""
    colour, depth, row0 = band
    corners, far, triangles, tones, uv, texture = mesh
    height, width = depth.shape
    for index in range(len(triangles)):
        i, j, k = triangles[index]
        ax, ay = corners[i]
        bx, by = corners[j]
        cx, cy = corners[k]
        if not np.isfinite(ax + bx + cx + ay + by + cy):
            continue
        top = max(row0, int(np.ceil(min(ay, by, cy))))
        bottom = min(row0 + height - 1, int(np.floor(max(ay, by, cy))))
        if top > bottom:
            continue
        first = max(0, int(np.ceil(min(ax, bx, cx) - 0.5)))
        last = min(width - 1, int(np.floor(max(ax, bx, cx) + 0.5)))
        twice = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        if twice == 0.0:
            continue
        for y in range(top, bottom + 1):
            shift = shifts[y % len(shifts)]
            for cell in range(first, last + 1):
                x = cell + shift
                wb = ((x - ax) * (cy - ay) - (y - ay) * (cx - ax)) / twice
                wc = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / twice
                wa = 1.0 - wb - wc
                if wa < 0.0 or wb < 0.0 or wc < 0.0:
                    continue
                near = 1.0 / (wa / far[i] + wb / far[j] + wc / far[k])
                if near >= depth[y - row0, cell]:
                    continue
                depth[y - row0, cell] = near
                value = 1.0
                if len(uv) > 0:
                    u = near * (wa * uv[i, 0] / far[i] + wb * uv[j, 0] / far[j] + wc * uv[k, 0] / far[k])
                    v = near * (wa * uv[i, 1] / far[i] + wb * uv[j, 1] / far[j] + wc * uv[k, 1] / far[k])
                    value = _looked_up(texture, u, v)
                for channel in range(3):
                    colour[y - row0, cell, channel] = value * tones[index, channel]


@numba.njit(cache=True)
def _means(fine: Picture, times: int) -> Picture:  # pragma: no cover
    height, width = fine.shape[0] // (2 * times), fine.shape[1] // times
    out = np.zeros((height, width, 3), dtype=np.float32)
    for y in range(fine.shape[0]):
        for x in range(fine.shape[1]):
            for channel in range(3):
                out[y // (2 * times), x // times, channel] += fine[y, x, channel]
    return out / np.float32(2 * times * times)


@dataclass(frozen=True)
class Backdrop:
    """A plain backdrop that darkens softly to one side and towards the corners; values from 0 to 1.

    `shadow` is how much a soft shadow of the crown, to the right of the middle, takes away.
    """

    colour: tuple[float, float, float] = (0.86, 0.87, 0.88)
    slope: float = 0.08
    corners: float = 0.12
    shadow: float = 0.0

    def drawn(self, width_px: int, height_px: int) -> Picture:
        """The empty picture."""
        x = np.linspace(-1.0, 1.0, width_px)[None, :]
        y = np.linspace(-1.0, 1.0, height_px)[:, None]
        light = 1.0 + self.slope * (0.6 * x - 0.8 * y) - self.corners * (x * x + y * y) / 2.0
        light = light * (1.0 - self.shadow * np.exp(-(((x - 0.25) / 0.45) ** 2) - (y / 0.5) ** 2))
        return np.asarray(light[..., None] * np.array(self.colour), dtype=np.float32)


def _tones(mesh: Mesh, bark: float, seed: int, sun: Array) -> Picture:
    """Colour of each triangle by the light that falls on it, uneven as bark is."""
    tones = np.tile(np.array(mesh.colour, dtype=np.float32), (len(mesh.triangles), 1))
    if mesh.shaded:
        a, b, c = (mesh.vertices_mm[mesh.triangles[:, corner]] for corner in range(3))
        normal = np.cross(b - a, c - a)
        normal /= np.maximum(np.linalg.norm(normal, axis=1), 1e-12)[:, None]
        light = 0.6 + 0.4 * np.maximum(normal @ (sun / np.linalg.norm(sun)), 0.0)
        rough = np.random.default_rng((8, seed)).normal(1.0, bark, len(tones)) if bark > 0.0 else 1.0
        tones *= np.asarray(light * rough, dtype=np.float32)[:, None]
    return tones


def light_of(
    meshes: list[Mesh],
    camera: Camera,
    behind: Picture,
    *,
    bark: float = 0.05,
    seed: int = 0,
    sun: Array = LIGHT,
    times: int = 3,
) -> Picture:
    """Light that falls on each pixel from several surfaces before an empty picture, (h, w, 3), sharp."""
    painted = []
    for number, mesh in enumerate(meshes):
        pixels, far = falls(mesh.vertices_mm, camera)
        corners = _cells(pixels, times)
        uv = np.empty((0, 2)) if mesh.uv is None else mesh.uv
        texture = np.zeros((1, 1), dtype=np.float32) if mesh.texture is None else mesh.texture
        painted.append((corners, far, mesh.triangles, _tones(mesh, bark, seed + number, sun), uv, texture))
    out = np.empty_like(behind)
    band = 200
    for top in range(0, camera.height_px, band):
        rows = min(band, camera.height_px - top)
        colour = np.repeat(np.repeat(behind[top : top + rows], 2 * times, axis=0), times, axis=1)
        depth = np.full(colour.shape[:2], np.inf, dtype=np.float32)
        for each in painted:
            _paint((colour, depth, top * 2 * times), _shifts(times), each)
        out[top : top + rows] = _means(colour, times)
    return out


def developed(light: Picture, *, blur_px: float = BLUR_PX, noise: float = 0.012, seed: int = 0) -> Pixels:
    """Light as a blurred and grainy picture from 0 to 255, in steps of light."""
    out = gaussian_filter(light, (blur_px, blur_px, 0.0), mode="nearest") if blur_px > 0.0 else light
    grain = np.random.default_rng((10, seed)).standard_normal(out.shape, dtype=np.float32)
    return np.clip(np.rint((out + grain * np.float32(noise)) * 255.0), 0, 255).astype(np.uint8)


def picture(
    meshes: list[Mesh],
    camera: Camera,
    *,
    backdrop: Backdrop | None = None,
    blur_px: float = BLUR_PX,
    noise: float = 0.012,
    bark: float = 0.05,
    seed: int = 0,
) -> Pixels:
    """A photo-like picture of several surfaces before a backdrop, (h, w, 3) from 0 to 255."""
    behind = (backdrop or Backdrop()).drawn(camera.width_px, camera.height_px)
    light = light_of(meshes, camera, behind, bark=bark, seed=seed)
    return developed(light, blur_px=blur_px, noise=noise, seed=seed)
