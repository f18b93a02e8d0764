"""Draws capsules and ellipsoids as a camera sees them: rays, depth, a sun. Analytic, no library.

World: x to the right as the face-on camera sees it, y away from it, z up; metres.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Colour = tuple[float, float, float]
FAR_M = 1e6


@dataclass(frozen=True)
class Capsule:
    """A thick line with round ends."""

    start: Floats
    end: Floats
    radius_m: float
    colour: Colour


@dataclass(frozen=True)
class Ellipsoid:
    """Half axes along the columns of `turn`."""

    centre: Floats
    half_m: Floats
    turn: Floats
    colour: Colour


Shape = Capsule | Ellipsoid


@dataclass(frozen=True)
class Camera:
    """A pinhole that looks at a point. `roll_deg`: the picture comes out turned clockwise by it."""

    place: Floats
    looks_at: Floats
    focal_px: float
    size: tuple[int, int] = (540, 960)
    roll_deg: float = 0.0

    def axes(self, roll_deg: float | None = None) -> Floats:
        """Rows: right, down and forward of the picture in the world."""
        forward = _unit(self.looks_at - self.place)
        right = _unit(np.cross(forward, [0.0, 0.0, 1.0]))
        down = np.cross(forward, right)
        a = np.radians(self.roll_deg if roll_deg is None else roll_deg)
        return np.stack([np.cos(a) * right - np.sin(a) * down, np.sin(a) * right + np.cos(a) * down, forward])

    def seen(self, points: Floats, roll_deg: float | None = None) -> Floats:
        """Points of the world in pixels."""
        local = (np.asarray(points) - self.place) @ self.axes(roll_deg).T
        return self.focal_px * local[..., :2] / local[..., 2:] + (np.array(self.size) - 1) / 2

    def rays(self) -> Floats:
        """Unit directions, rows x columns x 3."""
        wide, high = self.size
        y, x = np.mgrid[0:high, 0:wide].astype(float)
        local = np.stack(
            [(x - (wide - 1) / 2) / self.focal_px, (y - (high - 1) / 2) / self.focal_px, np.ones_like(x)], axis=-1
        )
        world = local @ self.axes()
        return world / np.linalg.norm(world, axis=-1, keepdims=True)


@dataclass(frozen=True)
class Light:
    """Where the sun stands (unit vector towards it), how strong it and the sky are."""

    towards: Floats
    sun: float = 0.7
    sky: float = 0.45


def draw(picture: Floats, camera: Camera, rays: Floats, shapes: list[Shape], light: Light) -> None:
    """Draws the shapes onto a picture of 0 to 1, nearest first, in place."""
    depth = np.full(picture.shape[:2], FAR_M)
    for shape in shapes:
        box = _box(camera, shape)
        if box is None:
            continue
        far, normal = (
            _capsule(camera.place, rays[box], shape)
            if isinstance(shape, Capsule)
            else _ellipsoid(camera.place, rays[box], shape)
        )
        nearer = far < depth[box]
        if not nearer.any():
            continue
        depth[box][nearer] = far[nearer]
        lit = np.clip(normal[nearer] @ light.towards, 0, 1) * light.sun + light.sky * (
            0.75 + 0.25 * normal[nearer][:, 2]
        )
        picture[box][nearer] = np.asarray(shape.colour) * lit[:, None]


def _unit(v: Floats) -> Floats:
    unit: Floats = v / np.linalg.norm(v)
    return unit


def _box(camera: Camera, shape: Shape) -> tuple[slice, slice] | None:
    ends = np.stack([shape.start, shape.end]) if isinstance(shape, Capsule) else shape.centre[None]
    radius = shape.radius_m if isinstance(shape, Capsule) else float(shape.half_m.max())
    deep = (ends - camera.place) @ camera.axes()[2]
    if deep.min() <= radius + 0.05:
        return None
    seen = camera.seen(ends)
    reach = (camera.focal_px * radius / (deep - radius) * 1.15 + 2)[:, None]
    low, top = np.floor((seen - reach).min(axis=0)).astype(int), np.ceil((seen + reach).max(axis=0)).astype(int)
    wide, high = camera.size
    x0, y0, x1, y1 = max(0, low[0]), max(0, low[1]), min(wide, top[0]), min(high, top[1])
    return (slice(y0, y1), slice(x0, x1)) if x1 > x0 and y1 > y0 else None


def _capsule(eye: Floats, rays: Floats, shape: Capsule) -> tuple[Floats, Floats]:
    """Where rays meet a capsule: roots of the cylinder, else of the two spheres (textbook quadratics)."""
    along, oa = shape.end - shape.start, eye - shape.start
    length2 = max(1e-12, float(along @ along))
    bard, rdoa, baoa = rays @ along, rays @ oa, float(along @ oa)
    a = length2 - bard**2
    b = length2 * rdoa - baoa * bard
    c = length2 * float(oa @ oa) - baoa**2 - shape.radius_m**2 * length2
    h = b * b - a * c
    with np.errstate(invalid="ignore", divide="ignore"):
        far = (-b - np.sqrt(h)) / a
        y = baoa + far * bard
        far = np.where((h >= 0) & (y > 0) & (y < length2), far, FAR_M)
        for end in (shape.start, shape.end):
            oc = eye - end
            b2, c2 = rays @ oc, float(oc @ oc) - shape.radius_m**2
            h2 = b2 * b2 - c2
            far = np.minimum(far, np.where(h2 >= 0, -b2 - np.sqrt(h2), FAR_M))
    at = eye + rays * np.minimum(far, 1e3)[..., None] - shape.start
    share = np.clip(at @ along / length2, 0, 1)
    return far, (at - share[..., None] * along) / shape.radius_m


def _ellipsoid(eye: Floats, rays: Floats, shape: Ellipsoid) -> tuple[Floats, Floats]:
    origin = (eye - shape.centre) @ shape.turn / shape.half_m
    way = rays @ shape.turn / shape.half_m
    a, b, c = (way**2).sum(axis=-1), way @ origin, float(origin @ origin) - 1
    h = b * b - a * c
    with np.errstate(invalid="ignore"):
        far = np.where(h >= 0, (-b - np.sqrt(h)) / a, FAR_M)
    at = origin + way * np.minimum(far, 1e3)[..., None]
    normal = (at / shape.half_m) @ shape.turn.T
    return far, normal / np.maximum(1e-9, np.linalg.norm(normal, axis=-1, keepdims=True))
