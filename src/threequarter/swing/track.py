"""A clip to the body points of its player: cheaply all along, closely where the hands move.

The small model looks some fifteen times a second, and rests where nothing moves (`looking.py`). Where it sees the hands move
as in a swing, every picture around that moment is decoded again and looked at by the larger model, every other one mirrored,
so that the model's own left-right habit cancels when the points are smoothed (slow cameras: each picture both ways;
`closely.py`). Memory does not grow with the clip but for the points themselves.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Protocol

import numpy as np
from numpy.typing import NDArray

from threequarter.swing.decode import Frame, frame_times, frames, loudness, probe

Floats = NDArray[np.float64]
Span = tuple[float | None, float | None]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Stretch:
    """A stretch looked at closely: `time_s` (n,), `points` (n, 33, 2) pixels, `visibility` (n, 33) 0..1, `world` (n, 33, 3)
    in metres about the hips as the model guesses them (x to the right, y down, z away), `sharp` (n,) sharpness of the square
    around the player; of the ground at the feet some ten grey pictures a second, `ground` (m, h, w), at `ground_s` (m,); and, where left
    and right were set right (`facing.py`), in which pictures, `exchanged` (n,)."""

    time_s: Floats
    points: Floats
    visibility: Floats
    world: Floats
    sharp: Floats = field(default_factory=lambda: np.zeros(0))
    ground_s: Floats = field(default_factory=lambda: np.zeros(0))
    ground: NDArray[np.uint8] = field(default_factory=lambda: np.zeros((0, 1, 1), np.uint8))
    exchanged: NDArray[np.bool_] = field(default_factory=lambda: np.zeros(0, np.bool_))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Looks:
    """The quick looks that saw the player: `time_s` (n,), `points` (n, 33, 2), `visibility` (n, 33), `world` (n, 33, 3), the
    square around the player `roi` (n, 3): centre and side."""

    time_s: Floats
    points: Floats
    visibility: Floats
    world: Floats
    roi: Floats


NO_LOOKS: Final = Looks(
    time_s=np.zeros(0),
    points=np.zeros((0, 33, 2)),
    visibility=np.zeros((0, 33)),
    world=np.zeros((0, 33, 3)),
    roi=np.zeros((0, 3)),
)


@dataclass(slots=True, kw_only=True)
class Seen:
    """What was noticed about the filming: numbers for the gates and the warnings.

    `people` are counts at `people_s`, `others` how far to the right of the player the others stand then, in sides of the player's
    square; `lines` counts straight edges of the background by how far they are turned
    (`picture.lines_of`); `turned` quarters set the pictures upright.
    """

    width: int = 0
    height: int = 0
    looks: int = 0
    with_player: int = 0
    light: list[float] = field(default_factory=list)
    burnt: list[float] = field(default_factory=list)
    tall_share: list[float] = field(default_factory=list)
    cut_off: int = 0
    people: list[int] = field(default_factory=list)
    people_s: list[float] = field(default_factory=list)
    others: list[list[float]] = field(default_factory=list)
    shakes: list[float] = field(default_factory=list)
    lines: list[float] = field(default_factory=list)
    turned: int = 0


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Track:
    """The close stretches of a clip in order, the quick looks, what was noticed, and the clip's own clock: pictures a second,
    the rate it was filmed at where the file tells, where it starts and ends, and when something banged, how loud (decibels
    over what was heard just before), and how many bits the file spends on a pixel of a picture."""

    stretches: tuple[Stretch, ...]
    frames_per_s: float
    duration_s: float
    seen: Seen
    looks: Looks = NO_LOOKS
    filmed_fps: float | None = None
    start_s: float = 0.0
    bangs: tuple[tuple[float, float], ...] = ()
    heard: bool = False
    bits_per_pixel: float | None = None


class Source(Protocol):
    """Pictures from anywhere, as `decode.frames` gives them."""

    def __call__(
        self,
        *,
        spans: Sequence[Span] = ((None, None),),
        every_s: float = 0.0,
        quick: bool = False,
        turned: int = 0,
    ) -> Iterator[Frame]: ...


def track(
    path: Path,
    *,
    threads: int = 2,
    progress: Callable[[float], None] | None = None,
    person: int = 0,
    slower: float = 1.0,
    before: Track | None = None,
) -> Track:
    """Follows one person of a clip: the largest, or with `person` the next ones by size; `slower` is how many times slower
    than life the swing is looked for. `before` is a track of the same clip whose quick looks are used again.

    Raises UserError where the clip cannot be read.
    """
    from threequarter.swing.sound import bangs_of

    info = probe(path)

    def source(**chosen: object) -> Iterator[Frame]:
        return frames(path, **chosen)  # type: ignore[arg-type]

    times = frame_times(path)
    found = follow(
        source, info.fps or 60.0, threads=threads, progress=progress, person=person, slower=slower, before=before
    )
    step = float(np.median(np.diff(times))) if len(times) > 2 else 0.0
    start, sound = (0.0, np.zeros(0)) if before else loudness(path)
    return Track(
        stretches=found.stretches,
        frames_per_s=1 / step if step > 0 else found.frames_per_s,
        duration_s=float(times[-1] - times[0]) if len(times) else found.duration_s,
        seen=found.seen,
        looks=found.looks,
        filmed_fps=info.filmed_fps,
        start_s=float(times[0]) if len(times) else 0.0,
        bangs=before.bangs if before else bangs_of(start, sound),
        heard=before.heard if before else len(sound) > 0,
        bits_per_pixel=bits_per_pixel(path, len(times), info.width * info.height),
    )


def bits_per_pixel(path: Path, pictures: int, pixels: int) -> float | None:
    """How many bits the file spends on a pixel of a picture; its sound counts along."""
    return 8 * path.stat().st_size / (pictures * pixels) if pictures and pixels else None


def follow(
    source: Source,
    rate: float,
    *,
    threads: int = 2,
    progress: Callable[[float], None] | None = None,
    person: int = 0,
    slower: float = 1.0,
    before: Track | None = None,
) -> Track:
    """The same for pictures from anywhere; `rate` is how many there are a second."""
    from threequarter.swing.closely import Closely, busy_spans
    from threequarter.swing.looking import look_through

    if before is None:
        looks, seen, times = look_through(source, threads, person, progress)
        start, length = (times[0], times[-1] - times[0]) if times else (0.0, 0.0)
    else:
        looks, seen, start, length = before.looks, before.seen, before.start_s, before.duration_s
    spans = busy_spans(looks, slower)
    close = Closely(looks, rate, threads, slower, seen.turned)
    stretches = close.through(source, spans, progress) if spans else ()
    return Track(stretches=stretches, frames_per_s=rate, duration_s=length, seen=seen, looks=looks, start_s=start)
