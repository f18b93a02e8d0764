"""What spoils pictures: light, noise, blur, turning, moving, cropping, other people, no ball. Arrays only."""

from __future__ import annotations

from collections.abc import Callable, Iterator

import numpy as np
from numpy.typing import NDArray

Picture = NDArray[np.uint8]
Change = Callable[[Picture], Picture]
Floats = NDArray[np.float64]
LIMBS = (
    ("left_shoulder", "left_elbow", 0.13),
    ("left_elbow", "left_wrist", 0.13),
    ("right_shoulder", "right_elbow", 0.13),
    ("right_elbow", "right_wrist", 0.13),
    ("left_hip", "left_knee", 0.19),
    ("left_knee", "left_ankle", 0.15),
    ("right_hip", "right_knee", 0.19),
    ("right_knee", "right_ankle", 0.15),
    ("left_shoulder", "right_hip", 0.22),
    ("right_shoulder", "left_hip", 0.22),
    ("left_shoulder", "right_shoulder", 0.14),
)  # half widths in torso lengths, wide enough for clothes


def graded(gain: float, noise: float, rng: np.random.Generator, lift: float = 0.0) -> Change:
    """Light times `gain` plus `lift`, sensor noise of `noise` steps (of 255) drawn anew for each picture."""
    bank = rng.normal(0, noise, 4_000_003).astype(np.float32)

    def change(picture: Picture) -> Picture:
        start = int(rng.integers(0, len(bank)))
        grain = np.take(bank, np.arange(start, start + picture.size), mode="wrap").reshape(picture.shape)
        return np.clip(picture * np.float32(gain) + np.float32(lift) + grain, 0, 255).astype(np.uint8)

    return change


def smeared(pictures: Iterator[Picture], width: int = 3) -> Iterator[Picture]:
    """Each picture the mean of itself and its neighbours, as a long exposure."""
    held: list[Picture] = []
    half = width // 2
    for picture in pictures:
        held.append(picture)
        if len(held) > width:
            held.pop(0)
        if len(held) > half:
            yield np.mean(held, axis=0).astype(np.uint8)
    for _ in range(half):
        held.pop(0)
        yield np.mean(held, axis=0).astype(np.uint8)


def between(pictures: Iterator[Picture], at: Floats) -> Iterator[Picture]:
    """Pictures at fractional numbers `at`, rising: neighbours are faded into each other, as film editors do."""
    number, now = 0, next(pictures)
    following = next(pictures, now)
    for place in at:
        while place >= number + 1:
            number, now, following = number + 1, following, next(pictures, following)
        part = place - number
        yield now if part < 1e-6 else (now * (1 - part) + following * part).astype(np.uint8)


def turn_about(size: tuple[int, int], clockwise_deg: float, scale: float = 1.0) -> Floats:
    """The 2 x 3 map that turns and scales a picture of (width, height) about its middle."""
    c, s = scale * np.cos(np.radians(clockwise_deg)), scale * np.sin(np.radians(clockwise_deg))
    middle = (np.array(size) - 1) / 2
    turn = np.array([[c, -s], [s, c]])
    return np.column_stack([turn, middle - turn @ middle])


def warped(matrix: Floats, size: tuple[int, int]) -> Change:
    """Every picture under one affine map (source to result pixels), bilinear, edges drawn out."""
    wide, high = size
    inverse = np.linalg.inv(matrix[:, :2])
    y, x = np.mgrid[0:high, 0:wide].astype(np.float32)
    back = np.tensordot(inverse, np.stack([x - matrix[0, 2], y - matrix[1, 2]]), axes=1)

    def change(picture: Picture) -> Picture:
        rows, columns = picture.shape[:2]
        u, v = np.clip(back[0], 0, columns - 1.001), np.clip(back[1], 0, rows - 1.001)
        i, j = v.astype(np.int32), u.astype(np.int32)
        p, q = (v - i).astype(np.float32)[..., None], (u - j).astype(np.float32)[..., None]
        flat, at = picture.reshape(-1, 3), i * columns + j
        above = flat[at] * (1 - q) + flat[at + 1] * q
        below = flat[at + columns] * (1 - q) + flat[at + columns + 1] * q
        return (above * (1 - p) + below * p).astype(np.uint8)

    return change


def shrunk(factor: int) -> Change:
    """Smaller by a whole number, by means of blocks."""

    def change(picture: Picture) -> Picture:
        high, wide = (n // factor * factor for n in picture.shape[:2])
        blocks = picture[:high, :wide].reshape(high // factor, factor, wide // factor, factor, 3)
        return blocks.mean(axis=(1, 3)).astype(np.uint8)

    return change


def softened(picture: Picture) -> Picture:
    """A mean of 3 x 3, before a picture is made small by other than whole numbers."""
    wide = np.pad(picture, ((1, 1), (1, 1), (0, 0)), mode="edge").astype(np.uint16)
    rows = wide[:-2] + wide[1:-1] + wide[2:]
    return ((rows[:, :-2] + rows[:, 1:-1] + rows[:, 2:]) // 9).astype(np.uint8)


def windows(pictures: Iterator[Picture], corners: Floats, size: tuple[int, int]) -> Iterator[Picture]:
    """A window of (width, height) whose upper left corner (x, y) is elsewhere in each picture, to a fraction of a pixel."""
    wide, high = size
    for picture, (x, y) in zip(pictures, corners, strict=True):
        j, i = int(x), int(y)
        q, p = x - j, y - i
        part = picture[i : i + high + 1, j : j + wide + 1].astype(np.float32)
        across = part[:, :-1] * (1 - q) + part[:, 1:] * q
        yield (across[:-1] * (1 - p) + across[1:] * p).astype(np.uint8)


def figure_mask(points: Floats, names: list[str], size: tuple[int, int]) -> NDArray[np.float32]:
    """Where a person is, 0 to 1 with soft edges, from the body points: limbs as thick lines, the head as a disc."""
    wide, high = size
    at = {name: points[i] for i, name in enumerate(names)}
    shoulders = (at["left_shoulder"] + at["right_shoulder"]) / 2
    hips = (at["left_hip"] + at["right_hip"]) / 2
    torso = float(np.linalg.norm(shoulders - hips))
    head = shoulders + (shoulders - hips) * 0.42 + np.array([0.0, 0.02 * torso])
    lines = [(at[a], at[b], w * torso) for a, b, w in LIMBS] + [
        (shoulders, head, 0.12 * torso),
        (head, head, 0.27 * torso),
    ]
    for side in ("left", "right"):
        foot = at[f"{side}_ankle"]
        lines.append((foot, foot + np.array([0, 0.12 * torso]), 0.17 * torso))
        lines.append(
            (at[f"{side}_wrist"], at[f"{side}_wrist"] + (at[f"{side}_wrist"] - at[f"{side}_elbow"]) * 0.3, 0.12 * torso)
        )
    mask = np.zeros((high, wide), np.float32)
    for start, end, half in lines:
        _draw_line(mask, start, end, half)
    return mask


def _draw_line(mask: NDArray[np.float32], start: Floats, end: Floats, half: float) -> None:
    high, wide = mask.shape
    low = np.floor(np.minimum(start, end) - half - 2).astype(int)
    top = np.ceil(np.maximum(start, end) + half + 2).astype(int)
    x0, y0, x1, y1 = max(0, low[0]), max(0, low[1]), min(wide, top[0]), min(high, top[1])
    if x1 <= x0 or y1 <= y0:
        return
    y, x = np.mgrid[y0:y1, x0:x1].astype(np.float32)
    way = end - start
    along = np.clip(((x - start[0]) * way[0] + (y - start[1]) * way[1]) / max(1e-9, float(way @ way)), 0, 1)
    far = np.hypot(x - start[0] - along * way[0], y - start[1] - along * way[1])
    part = mask[y0:y1, x0:x1]
    np.maximum(part, np.clip((half - far) / 4 + 0.5, 0, 1), out=part)


def pasted(
    picture: Picture,
    figure: Picture,
    mask: NDArray[np.float32],
    left: int,
    top: int,
    behind: NDArray[np.float32] | None,
) -> Picture:
    """A cut-out figure laid on a picture, hidden where `behind` (the player's own mask) is."""
    high, wide = picture.shape[:2]
    y0, x0, y1, x1 = max(0, top), max(0, left), min(high, top + figure.shape[0]), min(wide, left + figure.shape[1])
    if x1 <= x0 or y1 <= y0:
        return picture
    part = mask[y0 - top : y1 - top, x0 - left : x1 - left]
    if behind is not None:
        part = part * (1 - behind[y0:y1, x0:x1])
    new = picture.copy()
    over = figure[y0 - top : y1 - top, x0 - left : x1 - left]
    new[y0:y1, x0:x1] = (picture[y0:y1, x0:x1] * (1 - part[..., None]) + over * part[..., None]).astype(np.uint8)
    return new


def ball_spot(at_top: Picture, ball_gone: Picture, below_y: float) -> tuple[int, int, int] | None:
    """Where the ball lies (x, y, radius in pixels): what is white at the top of the swing, low in the picture, and gone later."""
    from_y = int(below_y)
    light = at_top[from_y:].min(axis=2).astype(int) - ball_gone[from_y:].min(axis=2)
    rows, columns = np.nonzero(light > 50)
    if len(rows) < 8:
        return None
    radius = int(np.ceil(np.sqrt(len(rows) / np.pi)))
    return int(np.median(columns)), int(np.median(rows)) + from_y, radius


def without_ball(picture: Picture, plate: Picture, spot: tuple[int, int, int], flying: bool) -> Picture:
    """The ball taken out: lying at its spot, and in the pictures after the strike wherever a white disc of its size stands nearly alone."""
    x, y, radius = spot
    new = picture.copy()
    grown = 2 * radius + 4  # with its shadow
    box = np.s_[max(0, y - grown) : y + grown + 1, max(0, x - grown) : x + grown + 1]
    lighter = picture[box].min(axis=2).astype(int) - plate[box].min(axis=2)
    ours = (lighter > 25) | (np.abs(lighter) < 45)
    new[box][ours] = plate[box][ours]
    for i, j in _lone_discs(picture, plate, radius) if flying else []:
        around = np.s_[max(0, i - grown) : i + grown + 1, max(0, j - grown) : j + grown + 1]
        new[around] = plate[around]
    return new


def _lone_discs(picture: Picture, plate: Picture, radius: int) -> list[tuple[int, int]]:
    white = (picture.min(axis=2) > 140) & (picture.min(axis=2).astype(int) > plate.min(axis=2).astype(int) + 40)
    sums = np.pad(white.astype(np.int32), ((1, 0), (1, 0))).cumsum(0).cumsum(1)

    def inside(half: int) -> NDArray[np.int32]:
        side = 2 * half + 1
        whole = np.pad(sums, half, mode="edge")
        return whole[side:, side:] - whole[:-side, side:] - whole[side:, :-side] + whole[:-side, :-side]

    near, wider = inside(radius + 1), inside(2 * radius + 3)
    shaft = 9 * radius  # white pixels of a club that may cross the wider square
    alone = white & (near > 0.5 * np.pi * radius**2) & (wider <= near + shaft)
    spots: list[tuple[int, int]] = []
    for i, j in zip(*np.nonzero(alone), strict=True):
        if all(abs(i - a) + abs(j - b) > 2 * radius for a, b in spots):
            spots.append((int(i), int(j)))
    return spots
