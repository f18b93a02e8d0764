"""Hard copies of the open clips, some fifty conditions, with the truth carried along.

Written without sight of how the swing check measures. A copy is an mp4 and a truth file of the form of the open clips, and besides
`condition`, `clip`, `half`, `expected` (what an honest answer may be: `measured`, `refused`, `asked`), `slowed`, `practice` (swings
at no ball), `sound` (seconds at which the microphone hears the strike and the neighbours), `picture_turned_deg`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from . import clips_pictures as px
from . import clips_truth as true
from .clips_bodies import child, tilted
from .clips_film import Film, Picture, write
from .clips_sound import SOUND_MPS, range_sound
from .clips_source import OPEN, Source, ball_painted_out, cut, half_of, player_masks, resampled

FADE_PICTURES = 15
MICROPHONE_M = 3.6  # from the ball to the camera


@dataclass(frozen=True)
class Condition:
    """How a copy is made and what an honest answer to it may be."""

    make: Callable[[Source], Film]
    expected: tuple[str, ...] = ("measured",)


def graded(gain: float, noise: float, lift: float = 0) -> Callable[[Source], Film]:
    def make(source: Source) -> Film:
        film = source.base()
        return film.with_pictures(lambda ps: map(px.graded(gain, noise, source.rng, lift), ps), crf=23)

    return make


def blurred(source: Source) -> Film:
    return source.base().with_pictures(px.smeared)


def slower_rate(rate_hz: float) -> Callable[[Source], Film]:
    """Fewer pictures, each at its true time (24 from 60 is a step of 2 or 3 pictures)."""

    def make(source: Source) -> Film:
        film = source.base(rate_hz=120)
        wanted = np.arange(0, film.times_s[-1] + 1e-9, 1 / rate_hz)
        index = np.unique(np.clip(np.searchsorted(film.times_s, wanted - 1e-6), 0, len(film.times_s) - 1))
        return film.kept(index, film.times_s[index], {**film.truth, "fps": rate_hz})

    return make


def dropped(evened: bool) -> Callable[[Source], Film]:
    """A phone in trouble leaves out one picture in three; `evened`: the file then claims an even rate."""

    def make(source: Source) -> Film:
        film = source.base()
        threes = np.arange(0, len(film.times_s) - 2, 3)
        out = threes + source.rng.integers(0, 3, len(threes))
        index = np.setdiff1d(np.arange(len(film.times_s)), out[out > 0])
        honest = film.times_s[index]
        if not evened:
            return film.kept(index, honest, film.truth)
        even = np.linspace(0, honest[-1], len(honest))
        return film.kept(index, even, true.clocked(film.truth, lambda t: float(np.interp(t, honest, even))))

    return make


def turned_by_header(source: Source) -> Film:
    return source.base().each(lambda p: np.rot90(p, 1), shown_turned_deg=90)


def turned_by_pixels(source: Source) -> Film:
    film = source.base()
    high = film.truth["size"][1]
    truth = true.moved(film.truth, np.array([[0.0, -1.0, high - 1], [1.0, 0.0, 0.0]]))
    return film.each(lambda p: np.rot90(p, -1), truth={**truth, "picture_turned_deg": 90})


def mirrored(source: Source) -> Film:
    film = source.base()
    return film.each(lambda p: p[:, ::-1], truth=true.mirrored(film.truth, film.truth["size"][0]))


def hand_held(source: Source) -> Film:
    """Sways and trembles by some per cent of the height, and pans by a twelfth of the width."""
    film, rng = source.base(), source.rng
    wide, high = film.truth["size"]
    inner = (int(wide * 0.86) // 2 * 2, int(high * 0.92) // 2 * 2)
    room = np.array([wide - inner[0] - 2, high - inner[1] - 2])
    at = np.tile(room / 2, (len(film.times_s), 1))
    for hertz, reach in ((0.6, 0.18), (1.7, 0.1), (4.3, 0.05), (8.1, 0.025)):
        at += reach * room * np.sin(2 * np.pi * (hertz * film.times_s[:, None] + rng.uniform(size=2)))
    at[:, 0] += np.linspace(-0.25, 0.25, len(at)) * room[0]
    at = np.clip(at, 0, room)
    shift = np.zeros((len(at), 2, 3))
    shift[:, 0, 0] = shift[:, 1, 1] = 1
    shift[:, :, 2] = -at
    return film.with_pictures(lambda ps: px.windows(ps, at, inner), truth=true.moved(film.truth, shift))


def rolled(clockwise_deg: float) -> Callable[[Source], Film]:
    def make(source: Source) -> Film:
        film = source.base()
        size = tuple(film.truth["size"])
        matrix = px.turn_about(size, clockwise_deg)
        return film.each(px.warped(matrix, size), truth=true.rolled(film.truth, clockwise_deg, matrix))

    return make


def smaller_player(scale: float) -> Callable[[Source], Film]:
    def make(source: Source) -> Film:
        film = source.base()
        size = tuple(film.truth["size"])
        matrix = px.turn_about(size, 0, scale)
        warp = px.warped(matrix, size)
        return film.each(lambda p: warp(px.softened(p)), truth=true.moved(film.truth, matrix))

    return make


def half_resolution(source: Source) -> Film:
    film = source.base()
    return film.each(px.shrunk(2), truth=true.moved(film.truth, np.array([[0.5, 0, -0.25], [0, 0.5, -0.25]])))


def landscape(source: Source) -> Film:
    """A portrait clip in the middle of a wide picture with black sides."""
    film = source.base()
    wide, high = film.truth["size"]
    scale = wide / high
    matrix = np.array([[scale, 0, (high - wide * scale) / 2], [0, scale, 0]])
    warp = px.warped(matrix, (high, wide))
    left, right = int(matrix[0, 2]) + 1, int(matrix[0, 2] + wide * scale) - 1

    def change(picture: Picture) -> Picture:
        wider = warp(px.softened(picture))
        wider[:, :left] = wider[:, right:] = 0
        return wider

    return film.each(change, truth=true.moved(film.truth, matrix))


def cropped(what: str) -> Callable[[Source], Film]:
    """Legs cut below the knee, head cut at the chin, or the sides so close that the hands leave the picture."""

    def make(source: Source) -> Film:
        film = source.base()
        wide, high = film.truth["size"]
        x0, y0, x1, y1 = _crop(film, what)
        x0, y0, x1, y1 = max(0, x0), max(0, y0), min(wide, x1), min(high, y1)
        matrix = np.array([[1.0, 0, -x0], [0, 1.0, -y0]])
        return film.each(lambda p: p[y0:y1, x0:x1], truth=true.moved(film.truth, matrix))

    return make


def _crop(film: Film, what: str) -> tuple[int, int, int, int]:
    names, points = film.truth["keypoint_names"], film.truth["keypoints_px"][0]
    at = {name: points[i] for i, name in enumerate(names)}
    wide, high = film.truth["size"]
    torso = (at["left_hip"] + at["right_hip"] - at["left_shoulder"] - at["right_shoulder"])[1] / 2
    if what == "legs":
        return 0, 0, wide, int(at["left_knee"][1] + 0.1 * torso)
    if what == "head":
        return 0, int(min(at["left_shoulder"][1], at["right_shoulder"][1]) - 0.12 * torso), wide, high
    xs = [at[f"{side}_{part}"][0] for side in ("left", "right") for part in ("shoulder", "hip")]
    return int(min(xs) - 0.55 * torso), 0, int(max(xs) + 0.55 * torso), high


def slow_motion(factor: int) -> Callable[[Source], Film]:
    """Filmed at 30 times `factor` pictures a second, exported at 30 with nothing in the file that says so."""
    return lambda source: resampled(source.tight(rate_hz=240), 30.0 * factor, factor, 30.0)


def span(start: Callable[[true.Truth], float], end: Callable[[true.Truth], float]) -> Callable[[Source], Film]:
    """Cut by the first swing's instants."""

    def make(source: Source) -> Film:
        film = source.base()
        swing = film.truth["swings"][0]
        return cut(film, max(0.0, start(swing)), min(film.times_s[-1], end(swing)))

    return make


def abandoned(source: Source) -> Film:
    """Half a backswing, and calmly back to the ball: no swing."""
    film = source.base()
    swing = film.truth["swings"][0]
    turn = int(np.searchsorted(film.times_s, 0.5 * (swing["t_takeaway_s"] + swing["t_top_s"])))
    out = np.arange(turn + 1)
    index = np.concatenate([out, np.repeat(out[::-1], 2)])
    held: list[Picture] = []

    def change(pictures: Iterator[Picture]) -> Iterator[Picture]:
        held[:] = [p for _, p in zip(range(turn + 1), pictures, strict=False)]
        return iter([held[i] for i in index])

    truth = {**film.truth, "swings": [], "keypoints_px": film.truth["keypoints_px"][index]}
    return film.with_pictures(change, times_s=np.arange(len(index)) / film.truth["fps"], truth=truth)


def still(source: Source) -> Film:
    """Nothing but a player who stands there for three seconds."""
    film = source.base()
    count = int(3 * film.truth["fps"])
    truth = {**film.truth, "swings": [], "keypoints_px": np.repeat(film.truth["keypoints_px"][:1], count, axis=0)}
    grain = px.graded(1, 2, source.rng)
    return film.with_pictures(
        lambda ps: map(grain, [next(ps)] * count), times_s=np.arange(count) / film.truth["fps"], truth=truth
    )


def joined(balls: tuple[bool, ...], heard: bool = False) -> Callable[[Source], Film]:
    """Swings after one another, faded into each other; False in `balls` is a practice swing."""

    def make(source: Source) -> Film:
        film = source.tight()
        parts = [film if ball else ball_painted_out(film) for ball in balls]
        count, step = len(film.times_s), float(np.median(np.diff(film.times_s)))
        length = count + FADE_PICTURES

        def pictures() -> Iterator[Picture]:
            last: Picture | None = None
            for part in parts:
                for i, picture in enumerate(part.pictures()):
                    if i == 0 and last is not None:
                        for k in range(FADE_PICTURES):
                            share = (k + 1) / (FADE_PICTURES + 1)
                            yield (last * (1 - share) + picture * share).astype(np.uint8)
                    yield picture
                    last = picture

        fade = np.repeat(film.truth["keypoints_px"][-1:], FADE_PICTURES, axis=0)
        truths = [
            p.truth if i == 0 else {**p.truth, "keypoints_px": np.concatenate([fade, p.truth["keypoints_px"]])}
            for i, p in enumerate(parts)
        ]
        truth = true.joined([(i * length * step, one) for i, one in enumerate(truths)])
        whole = replace(
            film, pictures=pictures, times_s=np.arange(length * len(parts) - FADE_PICTURES) * step, truth=truth
        )
        return _heard(whole, source.rng, own=True, neighbours=1) if heard else whole

    return make


def heard(own: bool, neighbours: int, ball: bool = True) -> Callable[[Source], Film]:
    """With a sound track: wind, one's own strike or not, the neighbours' strikes at other times."""

    def make(source: Source) -> Film:
        film = source.base()
        return _heard(film if ball else ball_painted_out(film), source.rng, own, neighbours)

    return make


def _heard(film: Film, rng: np.random.Generator, own: bool, neighbours: int) -> Film:
    length = float(film.times_s[-1])
    strikes = [s["t_impact_s"] + MICROPHONE_M / SOUND_MPS for s in film.truth["swings"]] if own else []
    others = sorted(float(t) for t in rng.uniform(0.1, length - 0.1, neighbours))
    others = [t for t in others if all(abs(t - s) > 0.15 for s in strikes)]
    truth = {**film.truth, "sound": {"strike_s": strikes, "neighbours_s": others, "microphone_m": MICROPHONE_M}}
    return replace(film, sound=range_sound(length, strikes, others, rng), truth=truth)


def passer_by(when: str, scale: float, behind: bool) -> Callable[[Source], Film]:
    """Another figure goes across the picture within 1.6 s, in the middle of it `when` the address, the top or the strike is."""

    def make(source: Source) -> Film:
        film = source.base()
        swing = film.truth["swings"][0]
        middle = {"address": swing["t_takeaway_s"] - 0.45, "top": swing["t_top_s"], "strike": swing["t_impact_s"]}[when]
        wide = film.truth["size"][0]
        way = np.sign(source.rng.uniform(-1, 1))
        xs = wide / 2 + way * 1.3 * wide * (film.times_s - middle) / 1.6
        return _with_figure(film, source, xs, scale, behind)

    return make


def two_people(source: Source) -> Film:
    """Somebody stands beside the player, a little behind."""
    film = source.base()
    wide = film.truth["size"][0]
    return _with_figure(film, source, np.full(len(film.times_s), wide * 0.84), 0.85, True)


def _with_figure(film: Film, source: Source, xs: px.Floats, scale: float, behind: bool) -> Film:
    other = source.other()
    wide, high = other.truth["size"]
    points, names = other.truth["keypoints_px"][0], other.truth["keypoint_names"]
    matrix = np.array([[scale, 0, 0], [0, scale, 0]])
    size = (int(wide * scale), int(high * scale))
    figure = px.warped(matrix, size)(next(other.pictures()))
    mask = px.figure_mask(points * scale, names, size)
    feet = [names.index(f"{side}_ankle") for side in ("left", "right")]
    centre_x, foot_y = points[feet].mean(axis=0) * scale
    ground_y = film.truth["keypoints_px"][0][feet, 1].max() + (-25 if behind else 45)

    def change(pictures: Iterator[Picture]) -> Iterator[Picture]:
        for i, (picture, player) in enumerate(zip(pictures, player_masks(film), strict=True)):
            bob = 4 * np.sin(i / 4) if np.ptp(xs) else 0
            left, top = int(xs[i] - centre_x), int(ground_y - foot_y + bob)
            yield px.pasted(picture, figure, mask, left, top, player if behind else None)

    return film.with_pictures(change)


def evening_phone(source: Source) -> Film:
    """Dusk, a trembling hand, a long exposure and a crushed file at once."""
    film = hand_held(source).with_pictures(px.smeared)
    return film.with_pictures(lambda ps: map(px.graded(0.5, 8, source.rng), ps), crf=32)


EITHER, NO_SWING, ANY_CLOCK = ("measured", "refused"), ("refused",), ("measured", "asked")
CONDITIONS: dict[str, Condition] = {
    "plain": Condition(Source.base),
    "darker_30": Condition(graded(0.7, 5)),
    "darker_70": Condition(graded(0.3, 9), EITHER),
    "dark_noisy": Condition(graded(0.35, 14), EITHER),
    "night": Condition(graded(0.18, 10), EITHER),
    "child": Condition(child),
    "tilt_20": Condition(tilted(20), EITHER),
    "tilt_minus_20": Condition(tilted(-20), EITHER),
    "overexposed": Condition(graded(1.9, 3, 40), EITHER),
    "blur_3": Condition(blurred, EITHER),
    "fps_30": Condition(slower_rate(30)),
    "fps_24": Condition(slower_rate(24)),
    "tall_480": Condition(half_resolution),
    "crf_40": Condition(lambda s: replace(s.base(), crf=40), EITHER),
    "vfr_honest": Condition(dropped(evened=False)),
    "vfr_evened": Condition(dropped(evened=True)),
    "turned_by_header": Condition(turned_by_header),
    "turned_by_pixels": Condition(turned_by_pixels, EITHER),
    "mirrored": Condition(mirrored),
    "hand_held": Condition(hand_held),
    "evening_phone": Condition(evening_phone, EITHER),
    "roll_6": Condition(rolled(6)),
    "roll_minus_6": Condition(rolled(-6)),
    "roll_10": Condition(rolled(10), EITHER),
    "roll_20": Condition(rolled(20), EITHER),
    "roll_minus_20": Condition(rolled(-20), EITHER),
    "half_size": Condition(smaller_player(0.5), EITHER),
    "size_30": Condition(smaller_player(0.3), EITHER),
    "legs_cut": Condition(cropped("legs"), EITHER),
    "head_cut": Condition(cropped("head"), EITHER),
    "sides_cut": Condition(cropped("sides"), EITHER),
    "landscape": Condition(landscape),
    "slow_2": Condition(slow_motion(2), ANY_CLOCK),
    "slow_4": Condition(slow_motion(4), ANY_CLOCK),
    "slow_8": Condition(slow_motion(8), ANY_CLOCK),
    "fps_240": Condition(lambda s: resampled(s.tight(rate_hz=240), 240)),
    "starts_mid_backswing": Condition(span(lambda s: (s["t_takeaway_s"] + s["t_top_s"]) / 2, lambda s: np.inf), EITHER),
    "starts_just_before": Condition(span(lambda s: s["t_takeaway_s"] - 0.1, lambda s: np.inf)),
    "ends_after_impact": Condition(span(lambda s: 0, lambda s: s["t_impact_s"] + 0.12), EITHER),
    "ends_before_finish": Condition(span(lambda s: 0, lambda s: s["t_finish_s"] - 0.1), EITHER),
    "no_ball": Condition(lambda s: ball_painted_out(s.base()), EITHER),
    "two_swings": Condition(joined((True, True))),
    "practice_between": Condition(joined((True, False, True))),
    "practice_between_heard": Condition(joined((True, False, True), heard=True)),
    "sound_strike": Condition(heard(own=True, neighbours=0)),
    "sound_strike_neighbours": Condition(heard(own=True, neighbours=3)),
    "sound_wind": Condition(heard(own=False, neighbours=0), EITHER),
    "sound_practice_neighbours": Condition(heard(own=False, neighbours=3, ball=False), EITHER),
    "passer_front_address": Condition(passer_by("address", 1.15, behind=False), EITHER),
    "passer_front_top": Condition(passer_by("top", 1.15, behind=False), EITHER),
    "passer_behind": Condition(passer_by("strike", 0.8, behind=True), EITHER),
    "two_people": Condition(two_people, EITHER),
    "still": Condition(still, NO_SWING),
    "abandoned": Condition(abandoned, NO_SWING),
}


def make_copy(clip: str, condition: str, cache: Path, folder: Path = OPEN) -> Path:
    """The copy of an open clip under a condition, made unless it is there already. Raises KeyError for an unknown condition."""
    path = cache / half_of(clip) / condition / f"{clip}.mp4"
    if not path.exists():
        write(degraded(clip, condition, folder), path)
    return path


def degraded(clip: str, condition: str, folder: Path = OPEN) -> Film:
    """The same, not yet written."""
    rule = CONDITIONS[condition]
    film = rule.make(Source(clip, condition, folder))
    marks = {"condition": condition, "clip": clip, "half": half_of(clip), "expected": list(rule.expected)}
    return replace(film, truth={"slowed": 1.0, "practice": [], **film.truth, **marks})
