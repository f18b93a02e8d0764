"""A track to its swings: whose hand, which swings, where the camera stood. The one call behind command, page and library."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Final, Literal

from threequarter.golf.language import N_
from threequarter.swing import camera
from threequarter.swing.measure import Motion, Swing, find_swings, motion
from threequarter.swing.said import Said
from threequarter.swing.track import Track, track


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SwingCheck:
    """The swings of a clip in order, each with the curves it was measured on; None or empty where nothing was found."""

    swings: tuple[Swing, ...]
    curves: tuple[Motion, ...]
    hand: Literal["right", "left"] | None
    camera_deg: float | None
    warnings: tuple[Said, ...]
    frames_per_s: float


MOST_PEOPLE: Final = 3


def look(clip: Path, progress: Callable[[float], None] | None = None) -> tuple[Track, SwingCheck]:
    """A clip to its swings: the largest person is followed, and where that one does not swing, the others in view.

    Raises UserError where the clip cannot be read.
    """
    tries: list[tuple[Track, SwingCheck]] = []
    for person in range(MOST_PEOPLE):
        seen = track(clip, progress=progress, person=person)
        tries.append((seen, check(seen)))
        if tries[-1][1].swings:
            return tries[-1]
        if person + 1 >= max(seen.seen.people, default=0):
            break
    return tries[0]


def check(seen: Track) -> SwingCheck:
    """All swings of a track. A left-hander is found without being told: the hand with more swings, then with longer ones."""
    right, left = _swings(seen, "right"), _swings(seen, "left")
    hand: Literal["right", "left"] = "left" if _weight(left) > _weight(right) else "right"
    found = left if hand == "left" else right
    camera_deg = camera.azimuth_deg(seen.stretches, tuple((at, swing) for at, swing, _ in found), hand)
    said = camera.warnings(seen, camera_deg, hand if found else None)
    if not seen.seen.with_player:
        said.insert(0, Said(N_("no player was seen in this clip")))
    elif not found:
        said.insert(0, Said(N_("no swing was found: no fast move of the hands back and through the ball")))
    return SwingCheck(
        swings=tuple(swing for _, swing, _ in found), curves=tuple(curves for _, _, curves in found),
        hand=hand if found else None, camera_deg=camera_deg, warnings=tuple(said), frames_per_s=seen.frames_per_s,
    )  # fmt: skip


def _swings(seen: Track, hand: Literal["right", "left"]) -> list[tuple[int, Swing, Motion]]:
    found: list[tuple[int, Swing, Motion]] = []
    for at, stretch in enumerate(seen.stretches):
        curves = motion(stretch.time_s, stretch.points, stretch.visibility, hand)
        if curves is None:
            continue
        for swing in find_swings(curves):
            if not found or swing.t_impact_s - found[-1][1].t_impact_s > 0.6:
                found.append((at, swing, curves))
    return found


def _weight(found: list[tuple[int, Swing, Motion]]) -> tuple[int, float]:
    return len(found), sum(swing.lead_arm_top_deg + swing.lead_arm_finish_deg for _, swing, _ in found)
