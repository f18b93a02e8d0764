"""Clips of a drawn player with a swing law of its own, seen from anywhere, with the truth from the figure's joints.

For telling how good the swing check is, never for tuning it. Truth as for the open clips: lead-arm angle from straight down in the
upright picture (`_square`: by a far, level, square camera), hand height 0 at the hip joints and 1 at the shoulder joints.
"""

from __future__ import annotations

import zlib
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np

from . import clips_truth as true
from .clips_figure import JOINTS, Body, Floats, SwingLaw, joints, shapes
from .clips_film import Film, Picture, write
from .clips_pictures import softened
from .clips_trace import Camera, Light, draw

TARGET_Z_M, BALL_MPS, BALL_UP_DEG, GRAVITY_MPS2 = 0.92, 24.0, 42.0, 9.81
STEP_S = 0.002


@dataclass(frozen=True)
class Scene:
    """Who swings how, filmed from where."""

    body: Body = field(default_factory=Body)
    law: SwingLaw = field(default_factory=SwingLaw)
    azimuth_deg: float = 0.0  # towards the target side
    height_m: float = 1.1
    distance_m: float = 3.8
    roll_deg: float = 0.0  # the picture turned clockwise
    fov_deg: float = 52.0
    sun: float = 0.7
    sky: float = 0.45
    noise: float = 2.0
    fps: int = 60
    left_handed: bool = False
    fence: bool = True
    moves: str = "swing"  # or waves, jumps
    expected: tuple[str, ...] = ("measured",)


DARK = Body(
    skin=(0.26, 0.16, 0.11), hair=(0.05, 0.04, 0.04), shirt=(0.1, 0.1, 0.13), trousers=(0.08, 0.08, 0.09), cap=None
)
PALE = Body(
    skin=(0.97, 0.82, 0.75), hair=(0.85, 0.72, 0.45), shirt=(0.95, 0.95, 0.95), trousers=(0.88, 0.86, 0.8), cap=None
)
CHILD = Body(height_m=1.18, head=0.088, legs=0.49, arm=0.305, shirt=(0.95, 0.75, 0.1))
STOUT = Body(height_m=1.7, girth=1.3, shirt=(0.2, 0.35, 0.6), hair=(0.6, 0.6, 0.6))
EITHER, REFUSED = ("measured", "refused"), ("refused",)
KINDS: dict[str, Scene] = {
    "face_on": Scene(fence=False),
    "face_on_fence": Scene(),  # arms of nearly the colour of the boards behind them
    "az_20": Scene(azimuth_deg=20, expected=EITHER),
    "az_minus_20": Scene(azimuth_deg=-20, expected=EITHER),
    "az_40": Scene(azimuth_deg=40, expected=EITHER),
    "az_minus_70": Scene(azimuth_deg=-70, expected=REFUSED),
    "az_70": Scene(azimuth_deg=70, expected=REFUSED),
    "down_the_line": Scene(azimuth_deg=-90, expected=REFUSED),
    "from_the_front": Scene(azimuth_deg=90, expected=REFUSED),
    "low_camera": Scene(height_m=0.35),
    "high_camera": Scene(height_m=2.3),
    "seven_metres": Scene(distance_m=7.0, fov_deg=40),
    "rolled_5": Scene(roll_deg=5),
    "dim_dark": Scene(body=DARK, sun=0.2, sky=0.2, noise=7, fence=False),
    "pale_white": Scene(body=PALE, law=SwingLaw(back_deg=65, through_deg=66), sun=0.85, sky=0.6),
    "left_hander": Scene(body=STOUT, left_handed=True, law=SwingLaw(back_deg=60, through_deg=64, back_s=0.7)),
    "child": Scene(body=CHILD, distance_m=3.0, height_m=0.9, law=SwingLaw(back_deg=70, through_deg=74)),
    "short_swing": Scene(law=SwingLaw(back_deg=42, through_deg=45, back_s=0.6, down_s=0.29)),
    "short_through": Scene(law=SwingLaw(back_deg=85, through_deg=55)),
    "long_through": Scene(law=SwingLaw(back_deg=50, through_deg=78, back_s=0.65)),
    "creeps_to_top": Scene(law=SwingLaw(back_end=1.7)),
    "slows": Scene(law=SwingLaw(slows=True, down_s=0.42, through_deg=50)),
    "fps_30": Scene(fps=30, law=SwingLaw(back_deg=72, through_deg=72)),
    "waves": Scene(moves="waves", expected=REFUSED),
    "jumps": Scene(moves="jumps", expected=REFUSED),
}


def camera_of(scene: Scene) -> Camera:
    """The camera on its tripod. A left-hander is drawn as a right-hander and mirrored, which keeps the side of the target."""
    a = np.radians(scene.azimuth_deg)
    place = np.array([scene.distance_m * np.sin(a), -scene.distance_m * np.cos(a), scene.height_m])
    roll = -scene.roll_deg if scene.left_handed else scene.roll_deg
    middle = np.array([0.0, 0.0, TARGET_Z_M * scene.body.height_m / 1.76])
    return Camera(place, middle, 480 / float(np.tan(np.radians(scene.fov_deg / 2))), roll_deg=roll)


def poses(scene: Scene) -> tuple[Floats, list[dict[str, Floats]]]:
    """Times of the pictures and the joints at each."""
    times = np.arange(0, scene.law.length_s(), 1 / scene.fps)
    if scene.moves == "swing":
        return times, [joints(scene.body, float(angle)) for angle in scene.law.angle_deg(times)]
    return times, [_otherwise(scene, float(t)) for t in times]


def _otherwise(scene: Scene, t: float) -> dict[str, Floats]:
    """The trail arm waves overhead, or the whole player jumps with swinging arms; no club is swung."""
    at = joints(scene.body, -13.0)
    H = scene.body.height_m
    if scene.moves == "waves":
        swing = np.radians(150 + 35 * np.sin(2 * np.pi * 1.4 * t))
        way = np.array([-np.sin(swing), -0.15, -np.cos(swing)])
        at["right_elbow"] = at["right_shoulder"] + 0.172 * H * way
        at["right_wrist"] = at["right_elbow"] + 0.153 * H * np.array([np.sin(2 * np.pi * 1.4 * t) * 0.5, -0.1, 0.9])
        return at
    up = max(0.0, np.sin(2 * np.pi * 1.1 * t)) * 0.28
    for name in [*JOINTS, "pelvis", "chest", "grip"]:
        at[name] = at[name] + np.array([0, 0, up])
    for side, sign in (("left", 1), ("right", -1)):
        lift = np.radians(20 + 400 * up)
        way = np.array([sign * np.sin(lift), -0.1, -np.cos(lift)])
        at[f"{side}_elbow"] = at[f"{side}_shoulder"] + 0.172 * H * way
        at[f"{side}_wrist"] = at[f"{side}_elbow"] + 0.153 * H * way
    at["grip"] = at["left_wrist"]
    return at


def truth_of(scene: Scene) -> true.Truth:
    """All that is true of the clip, from the joints."""
    camera, (_, places) = camera_of(scene), poses(scene)
    points = np.array([camera.seen(np.array([at[name] for name in JOINTS])) for at in places])
    truth: true.Truth = {
        "fps": scene.fps,
        "size": list(camera.size),
        "handedness": "right",
        "keypoint_names": JOINTS,
        "keypoints_px": points,
        "camera": {"azimuth_deg": scene.azimuth_deg, "roll_deg": scene.roll_deg, "position_m": camera.place.tolist()},
        "swings": [_swing_truth(scene, camera)] if scene.moves == "swing" else [],
        "practice": [],
        "slowed": 1.0,
        "picture_turned_deg": scene.roll_deg,
        "expected": list(scene.expected),
        "half": "reported",
    }
    if not scene.left_handed:
        return truth
    return true.mirrored(truth, camera.size[0])


def _swing_truth(scene: Scene, camera: Camera) -> dict[str, Any]:
    law, n = scene.law, JOINTS.index
    t = np.arange(0, law.length_s(), STEP_S)
    world = np.array([[at[name] for name in JOINTS] for at in (joints(scene.body, float(a)) for a in law.angle_deg(t))])
    seen = camera.seen(world, roll_deg=0.0)

    def hands(p: Floats) -> Floats:
        middle: Floats = (p[:, n("left_wrist")] + p[:, n("right_wrist")]) / 2
        return middle

    def height(p: Floats, axis: int) -> Floats:
        hip, shoulder = (
            (p[:, n(f"left_{part}"), axis] + p[:, n(f"right_{part}"), axis]) / 2 for part in ("hip", "shoulder")
        )
        share: Floats = (hands(p)[:, axis] - hip) / (shoulder - hip)
        return share

    arm, far_arm = hands(seen) - seen[:, n("left_shoulder")], hands(world) - world[:, n("left_shoulder")]
    angle = np.degrees(np.arctan2(arm[:, 0], arm[:, 1]))
    square = np.degrees(np.arctan2(far_arm[:, 0], -far_arm[:, 2]))
    top_s, impact_s = law.start_s + law.back_s, law.start_s + law.back_s + law.down_s
    moved = np.flatnonzero((t > law.start_s) & (np.abs(law.angle_deg(t) - law.address_deg) >= 1))[0]
    after = t >= impact_s
    finish = int(np.flatnonzero(after & (square >= square[after].max() - 0.3))[0])
    top = round(top_s / STEP_S)
    speed = np.linalg.norm(np.gradient(world[:, n("left_wrist")], STEP_S, axis=0), axis=1)
    window = (t >= top_s) & (t <= impact_s + 0.1)
    ratio = float(np.interp(impact_s, t, speed) / speed[window].max())
    return {
        "t_takeaway_s": law.start_s,
        "t_takeaway_1deg_s": float(t[moved]),
        "t_top_s": top_s,
        "t_impact_s": impact_s,
        "t_finish_s": float(t[finish]),
        "lead_arm_top_deg": -float(angle[top]),
        "lead_arm_finish_deg": float(angle[finish]),
        "lead_arm_top_square_deg": -float(square[top]),
        "lead_arm_finish_square_deg": float(square[finish]),
        "hand_height_top": float(height(seen, 1)[top]),
        "hand_height_finish": float(height(seen, 1)[finish]),
        "hand_height_top_square": float(height(world, 2)[top]),
        "hand_height_finish_square": float(height(world, 2)[finish]),
        "backswing_s": law.back_s,
        "downswing_s": law.down_s,
        "tempo_ratio": law.back_s / law.down_s,
        "tempo_ratio_1deg": (top_s - float(t[moved])) / law.down_s,
        "t_peak_hand_speed_s": float(t[window][speed[window].argmax()]),
        "impact_over_peak": ratio,
        "decelerating": law.slows,
    }


def drawn(kind: str) -> Film:
    """A drawn clip, not yet written. Raises KeyError for an unknown kind."""
    scene = KINDS[kind]
    truth = {**truth_of(scene), "condition": f"drawn_{kind}", "clip": kind}
    times, _ = poses(scene)
    return Film(lambda: _pictures(scene, zlib.crc32(kind.encode())), times, truth, crf=21)


def _pictures(scene: Scene, seed: int) -> Iterator[Picture]:
    camera, rng = camera_of(scene), np.random.default_rng(seed)
    rays = camera.rays()
    towards = np.array([-0.45, -0.6, 0.65]) / np.linalg.norm([-0.45, -0.6, 0.65])
    light = Light(towards, scene.sun, scene.sky)
    behind = _background(scene, camera, rays, rng) * (scene.sun + scene.sky)
    law, address = scene.law, joints(scene.body, scene.law.impact_deg)
    club_m = float((0.03 - address["grip"][2]) / address["shaft"][2])
    tee = address["grip"] + club_m * address["shaft"] + np.array([0.03, -0.03, -0.01])
    grain = rng.normal(0, scene.noise, (2, *behind.shape)).astype(np.float32)
    for i, (t, at) in enumerate(zip(*poses(scene), strict=True)):
        picture = behind.copy()
        ball = tee + (_flight(t - law.start_s - law.back_s - law.down_s) if scene.moves == "swing" else 0)
        draw(picture, camera, rays, shapes(scene.body, at, club_m, ball), light)
        noisy = softened((np.clip(picture, 0, 1) * 255).astype(np.uint8)) + np.roll(grain[i % 2], i * 7919, axis=0)
        final = np.clip(noisy, 0, 255).astype(np.uint8)
        yield final[:, ::-1] if scene.left_handed else final


def _flight(seconds: float) -> Floats:
    s, up = max(0.0, seconds), np.radians(BALL_UP_DEG)
    return np.array([BALL_MPS * np.cos(up) * s, 0.0, BALL_MPS * np.sin(up) * s - GRAVITY_MPS2 / 2 * s * s])


def _background(scene: Scene, camera: Camera, rays: Floats, rng: np.random.Generator) -> Floats:
    """Grass, a board fence or a hedge 9 m behind, sky; a shadow under the player."""
    picture = np.empty_like(rays)
    picture[:] = np.array([0.62, 0.76, 0.93])
    flat = rays[..., 2] < -1e-3
    far = np.where(flat, -camera.place[2] / np.where(flat, rays[..., 2], -1), 1e3)
    x, y = camera.place[0] + far * rays[..., 0], camera.place[1] + far * rays[..., 1]
    blotch = _blotches(x * 1.7, y * 1.7, rng) * 0.5 + _blotches(x * 9, y * 9, rng) * 0.5
    shadow = np.exp(-(((x - 0.15) / 0.42) ** 2) - ((y - 0.25) / 0.4) ** 2)
    grass = (
        np.array([0.27, 0.43, 0.15])
        * (0.75 + 0.4 * blotch + 0.1 * rng.random(x.shape))[..., None]
        * (1 - 0.45 * shadow)[..., None]
    )
    picture[flat] = grass[flat]
    a = np.radians(scene.azimuth_deg)
    outward = np.array([-np.sin(a), np.cos(a)])
    wall = (9 - camera.place[:2] @ outward) / np.maximum(1e-6, rays[..., :2] @ outward)
    along = (camera.place[0] + wall * rays[..., 0]) * np.cos(a) + (camera.place[1] + wall * rays[..., 1]) * np.sin(a)
    high = camera.place[2] + wall * rays[..., 2]
    on = (high > 0) & (high < (1.9 if scene.fence else 3.4 + 0.8 * _blotches(along * 1.3, along * 0, rng)))
    if scene.fence:
        board = np.floor(along / 0.45)
        shade = 0.8 + 0.25 * np.sin(board * 12.9898) + 0.15 * _blotches(along * 3, high * 3, rng)
        shade[(along / 0.45 - board) < 0.04] = 0.35
        skin = np.array([0.46, 0.33, 0.23]) * shade[..., None]
    else:
        skin = (
            np.array([0.12, 0.24, 0.1])
            * (0.5 + _blotches(along * 4, high * 4, rng) + _blotches(along * 14, high * 14, rng) * 0.5)[..., None]
        )
    picture[on] = skin[on]
    return picture


def _blotches(x: Floats, y: Floats, rng: np.random.Generator) -> Floats:
    """Smooth random light and dark, 0 to 1."""
    lattice = rng.random((64, 64))
    x, y = np.clip(x, -1e6, 1e6), np.clip(y, -1e6, 1e6)
    i, j = np.floor(x).astype(int), np.floor(y).astype(int)
    p, q = x - i, y - j
    p, q = p * p * (3 - 2 * p), q * q * (3 - 2 * q)
    a, b = lattice[i % 64, j % 64], lattice[(i + 1) % 64, j % 64]
    c, d = lattice[i % 64, (j + 1) % 64], lattice[(i + 1) % 64, (j + 1) % 64]
    value: Floats = (a * (1 - p) + b * p) * (1 - q) + (c * (1 - p) + d * p) * q
    return value


def make_drawn(kind: str, cache: Path) -> Path:
    """The drawn clip with its truth, made unless it is there already."""
    path = cache / "drawn" / f"drawn_{kind}" / f"{kind}.mp4"
    if not path.exists():
        write(drawn(kind), path)
    return path
