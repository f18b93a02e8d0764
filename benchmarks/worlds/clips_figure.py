"""A player made of capsules and ellipsoids, and a swing law of its own. Every figure in here is invented (common practice, no source).

The lead arm is a straight bar that turns about the lead shoulder in a leaning plane, the shoulders turn with it about a leaning
spine, the trail arm bends to reach the club. A right-hander; a left-hander is his mirror image.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from .clips_trace import Capsule, Colour, Ellipsoid, Shape

Floats = NDArray[np.float64]
JOINTS = [
    f"{side}_{part}" for part in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle") for side in ("left", "right")
]

DECAY = 1.3  # how the arm runs out after the ball
CLUB_DEG = (
    (-110, -60, -30, -13, -4, 30, 60, 110),
    (-200, -110, -48, 2, -4, 42, 108, 200),
)  # arm: club; behind the ball at address
LIMB_PARTS = 7  # a limb that grows thinner is drawn in this many steps


@dataclass(frozen=True)
class Body:
    """Sizes as shares of the height (a child's head is larger, its limbs shorter) and colours."""

    height_m: float = 1.76
    head: float = 0.066
    legs: float = 0.53
    arm: float = 0.325
    girth: float = 1.0
    skin: Colour = (0.87, 0.66, 0.54)
    hair: Colour = (0.16, 0.1, 0.07)
    shirt: Colour = (0.75, 0.12, 0.14)
    trousers: Colour = (0.16, 0.18, 0.28)
    cap: Colour | None = (0.93, 0.93, 0.9)


@dataclass(frozen=True)
class SwingLaw:
    """Angles of the lead arm in its plane, 0 hanging; spans in seconds. `slows`: the hands slow down before the ball."""

    back_deg: float = 80.0
    through_deg: float = 80.0
    back_s: float = 0.78
    down_s: float = 0.31
    start_s: float = 0.9
    still_s: float = 0.8
    back_end: float = 1.1  # the larger, the longer the arm creeps to the top
    slows: bool = False
    address_deg: float = -13.0
    impact_deg: float = -4.0

    def angle_deg(self, t: Floats) -> Floats:
        """The lead arm's angle at seconds `t`; back is negative."""
        grid = np.arange(0, self.length_s() + 0.2, 0.0005)
        speed = np.zeros_like(grid)
        top, impact = self.start_s + self.back_s, self.start_s + self.back_s + self.down_s
        back = (grid >= self.start_s) & (grid < top)
        down = (grid >= top) & (grid < impact)
        x = (grid[back] - self.start_s) / self.back_s
        speed[back] = _scaled(x**1.5 * (1 - x) ** self.back_end, grid[back], -self.back_deg - self.address_deg)
        x = (grid[down] - top) / self.down_s
        speed[down] = _scaled(
            x**1.2 * (1.25 - x) ** (1.3 if self.slows else 0.12), grid[down], self.impact_deg + self.back_deg
        )
        after = self.through_deg - self.impact_deg
        last = speed[down][-1]
        span = after * (DECAY + 1) / last
        x = np.clip((grid - impact) / span, 0, 1)
        speed = np.where(grid >= impact, last * (1 - x) ** DECAY, speed)
        angle = self.address_deg + np.concatenate([[0.0], np.cumsum((speed[1:] + speed[:-1]) / 2) * 0.0005])
        return np.interp(t, grid, angle)

    def length_s(self) -> float:
        """From the first picture to the last."""
        return self.start_s + self.back_s + self.down_s + 0.75 + self.still_s


def _scaled(shape: Floats, grid: Floats, total: float) -> Floats:
    return shape * total / (np.trapezoid(shape, grid) + 1e-12)


def joints(body: Body, angle_deg: float) -> dict[str, Floats]:
    """Where the joints, the head and the club are at an angle of the lead arm."""
    H, turn = body.height_m, np.radians(angle_deg)
    back, through = -_eased(-angle_deg / 90), _eased(angle_deg / 90)
    pelvis = np.array([0.03 * back + 0.10 * through, 0.04 * H, body.legs * H * 0.985])
    hips_turn, chest_turn = 0.45 * turn, 0.68 * turn + 0.42 * through
    lean = np.radians(30 - 14 * through)
    spine = np.array([0.05 * back, -np.sin(lean), np.cos(lean)])
    chest = pelvis + 0.285 * H * spine
    across = _about(spine, np.array([1.0, 0.0, 0.0]), chest_turn)
    hips = _about(np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0]), hips_turn)
    at = {
        "pelvis": pelvis,
        "chest": chest,
        "spine": spine,
        "across": across,
        "hips_across": hips,
        "left_shoulder": chest + 0.108 * H * across + np.array([0, 0, 0.02 * H * (through - back)]),
        "right_shoulder": chest - 0.108 * H * across - np.array([0, 0, 0.012 * H]),
        "left_hip": pelvis + 0.052 * H * hips,
        "right_hip": pelvis - 0.052 * H * hips,
        "left_ankle": np.array([0.092 * H, 0.02, 0.045 * H]),
        "right_ankle": np.array([-0.092 * H, 0.02 + 0.03 * through, (0.045 + 0.03 * through) * H]),
    }
    tilt = np.radians(24)
    hang = np.array([0.0, -np.sin(tilt), -np.cos(tilt)])
    arm = np.cos(turn) * hang + np.sin(turn) * np.array([1.0, 0.0, 0.0])
    reach = body.arm * H
    at["left_wrist"] = at["left_shoulder"] + reach * arm
    at["left_elbow"] = at["left_shoulder"] + 0.53 * reach * arm
    grip = at["left_wrist"] + 0.045 * arm
    at["right_elbow"], at["right_wrist"] = _bent(
        at["right_shoulder"], grip, 0.53 * reach, 0.47 * reach, np.array([-0.3, 0.2, -1.0])
    )
    for side in ("left", "right"):
        thigh, shin = 0.245 * H * body.legs / 0.53, 0.246 * H * body.legs / 0.53
        at[f"{side}_knee"], _ = _bent(at[f"{side}_hip"], at[f"{side}_ankle"], thigh, shin, np.array([0.0, -1.0, 0.0]))
    cock = np.radians(np.interp(angle_deg, *CLUB_DEG))
    low = np.radians(40)
    shaft = np.cos(cock) * np.array([0.0, -np.sin(low), -np.cos(low)]) + np.sin(cock) * np.array([1.0, 0.0, 0.0])
    at["grip"], at["shaft"] = grip + 0.03 * arm, shaft
    return at


def _eased(share: float) -> float:
    """0 below 0, above it soon straight: nothing in the body starts with a jerk at the ball."""
    return share**2 / (share + 0.3) if share > 0 else 0.0


def _about(axis: Floats, v: Floats, angle: float) -> Floats:
    k = axis / np.linalg.norm(axis)
    turned: Floats = v * np.cos(angle) + np.cross(k, v) * np.sin(angle) + k * (k @ v) * (1 - np.cos(angle))
    return turned


def _bent(start: Floats, goal: Floats, first: float, second: float, towards: Floats) -> tuple[Floats, Floats]:
    """The middle joint and the end of two bars from `start` to `goal`, bent `towards`; the end falls short of what is out of reach."""
    way = goal - start
    far = float(np.linalg.norm(way))
    unit = way / far
    far = min(far, 0.995 * (first + second))
    along = (first**2 - second**2 + far**2) / (2 * far)
    side = towards - unit * (towards @ unit)
    side /= np.linalg.norm(side)
    return start + unit * along + side * np.sqrt(max(0.0, first**2 - along**2)), start + unit * far


def shapes(body: Body, at: dict[str, Floats], club_m: float, ball: Floats | None) -> list[Shape]:
    """The player as things to draw."""
    H, g = body.height_m, body.girth
    out: list[Shape] = []

    def limb(a: Floats, b: Floats, wide: float, narrow: float, colour: Colour) -> None:
        for k in range(LIMB_PARTS):
            share = np.array([k, k + 1]) / LIMB_PARTS
            out.append(
                Capsule(
                    a + (b - a) * share[0], a + (b - a) * share[1], (wide + (narrow - wide) * share.mean()) * H, colour
                )
            )

    for side in ("left", "right"):
        limb(at[f"{side}_shoulder"], at[f"{side}_elbow"], 0.033 * g, 0.025 * g, body.skin)
        limb(
            at[f"{side}_shoulder"],
            at[f"{side}_shoulder"] + 0.62 * (at[f"{side}_elbow"] - at[f"{side}_shoulder"]),
            0.039 * g,
            0.035 * g,
            body.shirt,
        )
        limb(at[f"{side}_elbow"], at[f"{side}_wrist"], 0.024, 0.016, body.skin)
        limb(at[f"{side}_hip"], at[f"{side}_knee"], 0.053 * g, 0.036 * g, body.trousers)
        limb(at[f"{side}_knee"], at[f"{side}_ankle"], 0.036 * g, 0.026, body.trousers)
        foot = at[f"{side}_ankle"] + np.array([0.02 if side == "left" else -0.02, -0.10 * H / 1.76, -0.03 * H])
        out.append(Capsule(at[f"{side}_ankle"] - np.array([0, 0, 0.015 * H]), foot, 0.024 * H, (0.9, 0.9, 0.9)))
        fist = at[f"{side}_wrist"] + 0.6 * (at["grip"] - at["left_wrist"])
        out.append(Capsule(at[f"{side}_wrist"], fist, 0.021 * H, (0.93, 0.93, 0.93) if side == "left" else body.skin))
    out += _trunk(body, at) + _head(body, at)
    head = at["grip"] + club_m * at["shaft"]
    out += [Capsule(at["grip"] - 0.08 * at["shaft"], at["grip"] + 0.18 * at["shaft"], 0.013, (0.08, 0.08, 0.08))]
    out += [
        Capsule(at["grip"], head, 0.006, (0.8, 0.8, 0.82)),
        Capsule(head, head + np.array([0.0, -0.07, 0.0]), 0.02, (0.6, 0.6, 0.62)),
    ]
    if ball is not None:
        out.append(Capsule(ball, ball + np.array([0, 0, 1e-4]), 0.0214, (1.1, 1.1, 1.1)))
    return out


def _frame(across: Floats, up: Floats) -> Floats:
    up = up / np.linalg.norm(up)
    x = across - up * (across @ up)
    x /= np.linalg.norm(x)
    return np.column_stack([x, np.cross(up, x), up])


def _trunk(body: Body, at: dict[str, Floats]) -> list[Shape]:
    H, g = body.height_m, body.girth
    chest, hips = _frame(at["across"], at["spine"]), _frame(at["hips_across"], np.array([0.0, -0.2, 1.0]))
    middle = at["pelvis"] + 0.45 * (at["chest"] - at["pelvis"])
    upper = at["chest"] - 0.075 * H * at["spine"]
    return [
        Ellipsoid(
            at["pelvis"] + np.array([0, 0, 0.01 * H]), np.array([0.098, 0.074, 0.085]) * H * g, hips, body.trousers
        ),
        Ellipsoid(middle, np.array([0.088, 0.066, 0.12]) * H * g, chest, body.shirt),
        Ellipsoid(upper, np.array([0.108, 0.072, 0.125]) * H * g, chest, body.shirt),
        Capsule(at["left_shoulder"], at["right_shoulder"], 0.041 * H, body.shirt),
    ]


def _head(body: Body, at: dict[str, Floats]) -> list[Shape]:
    H, r = body.height_m, body.head * body.height_m
    up = at["spine"] * np.array([1, 0.55, 1.0])
    up /= np.linalg.norm(up)
    base = at["chest"] + 0.02 * H * at["spine"]
    centre = base + up * (0.05 * H + 0.95 * r)
    looks = 0.25 * at["across"] + 0.75 * np.array([1.0, 0.0, 0.0])
    tip = _about(np.array([1.0, 0, 0]), up, np.radians(14))
    frame = _frame(looks, tip)
    x, y, z = frame.T  # y points out of the back of the head

    def spot(right: float, front: float, high: float) -> Floats:
        place: Floats = centre + r * (right * x - front * y + high * z)
        return place

    out: list[Shape] = [
        Capsule(base - 0.02 * H * at["spine"], centre - 0.4 * r * z, 0.034 * H, body.skin),
        Ellipsoid(centre, r * np.array([0.72, 0.9, 1.0]), frame, body.skin),
        Ellipsoid(spot(0, 0.22, -0.5), r * np.array([0.52, 0.6, 0.5]), frame, body.skin),
        Ellipsoid(spot(0, -0.16, 0.22), r * np.array([0.8, 0.88, 0.92]), frame, body.hair),
        Capsule(spot(0, 0.88, 0.12), spot(0, 1.02, -0.14), 0.11 * r, body.skin),
        Capsule(spot(-0.2, 0.8, -0.48), spot(0.2, 0.8, -0.48), 0.06 * r, (0.62, 0.28, 0.26)),
    ]
    for side in (-1, 1):
        out.append(Ellipsoid(spot(0.74 * side, 0, -0.05), r * np.array([0.1, 0.18, 0.26]), frame, body.skin))
        out.append(Capsule(spot(0.3 * side, 0.79, 0.1), spot(0.3 * side, 0.8, 0.1), 0.13 * r, (0.95, 0.95, 0.95)))
        out.append(Capsule(spot(0.3 * side, 0.86, 0.09), spot(0.3 * side, 0.87, 0.09), 0.085 * r, (0.1, 0.07, 0.05)))
        out.append(Capsule(spot(0.16 * side, 0.88, 0.27), spot(0.44 * side, 0.8, 0.27), 0.05 * r, body.hair))
    if body.cap is not None:
        out.append(Ellipsoid(spot(0, -0.03, 0.45), r * np.array([0.82, 0.97, 0.66]), frame, body.cap))
        out.append(Ellipsoid(spot(0, 0.95, 0.42), r * np.array([0.6, 0.5, 0.07]), frame, body.cap))
    return out
