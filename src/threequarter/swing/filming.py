"""How the filming was: what is refused, what is widened, what to do better next time. Messages, each one line."""

from typing import Final, Literal

import numpy as np

from threequarter.golf.message import Message
from threequarter.swing.camera import View
from threequarter.swing.clock import Clock
from threequarter.swing.doubt import LEAST_SEEN, LEAST_SEEN_DOWN, WIDENED_DEG, Quality
from threequarter.swing.measure import Swing
from threequarter.swing.track import Track

Hand = Literal["right", "left"]

WARN_DEG: Final = 7.5
WARN_SURE: Final = 0.5
"""Advice on the camera is given from so many degrees on, and where this share of the doubt lies below."""
SMALL: Final = 0.33
DARK: Final = 38.0
BURNT: Final = 0.12
BLURRED: Final = 0.045
SLOW_HZ: Final = 50.0
CRUSHED_AWAY: Final = 0.004
CUT_SHARE: Final = 0.2
SHAKY: Final = 0.006
"""Share of the picture's longer side by which its edge moves between two looks, in every other look."""
LEAST_LOOKS: Final = 5
REFUSALS: Final = ("swing.from_the_side", "swing.dark_sides")
BEHIND_DEG: Final = 180.0
"""The view of a player of whom nothing shows that the camera stands in front."""


def warnings(track: Track, view: View, clock: Clock, hand: Hand | None, swings: int, *, lost: int = 0) -> list[Message]:
    """What of the clip is refused or in doubt, and what to do better next time."""
    return [
        *_whether(track, view, hand, swings, lost),
        *_clock(clock, swings, track),
        *_camera(view, hand, swings),
        *_picture(track),
    ]


def _whether(track: Track, view: View, hand: Hand | None, swings: int, lost: int) -> list[Message]:
    if not track.seen.with_player:
        return [Message("swing.no_player")]
    if view.from_the_side and hand is not None:
        off = abs(view.azimuth_deg or 90.0)
        if off == BEHIND_DEG and track.seen.light and float(np.median(track.seen.light)) < DARK:
            return [
                Message("swing.dark_sides")
            ]  # in the dark the model exchanges left and right: no word of the camera's place
        return [Message("swing.from_the_side", view_deg=round(min(off, 360 - off), -1))]
    said = [Message("swing.lost", count=lost)] if lost else []
    return said if swings or lost else [Message("swing.no_swing")]


def _clock(clock: Clock, swings: int, track: Track) -> list[Message]:
    if not swings:
        return []
    if not clock.sure:
        return [Message("swing.which_clock", factors=tuple(clock.fitting))]
    if clock.slower != 1:
        return [Message("swing.slow_motion", slower=round(clock.slower, 1))]
    if 0 < track.frames_per_s < SLOW_HZ:
        return [Message("swing.few_frames", frames=round(track.frames_per_s), doubt_ms=round(500 / track.frames_per_s))]
    return []


def _camera(view: View, hand: Hand | None, swings: int) -> list[Message]:
    if hand is None or not swings:
        return []
    said = []
    off = abs(view.azimuth_deg) if view.azimuth_deg is not None else 0.0
    if view.azimuth_deg is not None and off >= WARN_DEG and off > WARN_SURE * view.azimuth90_deg:
        way = "left" if (view.azimuth_deg > 0) == (hand == "right") else "right"
        side = "target" if view.azimuth_deg > 0 else "trail"
        said.append(
            Message(f"swing.off_square_{side}_{way}", angle_deg=round(off), doubt_deg=round(view.azimuth90_deg))
        )
        if off > WIDENED_DEG:
            said.append(Message("swing.view_widens"))
    if view.roll_deg:
        said.append(Message("swing.rolled", roll_deg=round(abs(view.roll_deg))))
    elif view.roll_doubtful:
        said.append(Message("swing.roll_doubtful"))
    return said


def _picture(track: Track) -> list[Message]:
    seen, said = track.seen, []
    if seen.turned:
        said.append(Message("swing.sideways"))
    if len(seen.shakes) >= LEAST_LOOKS and float(np.median(seen.shakes)) > SHAKY:
        said.append(Message("swing.shakes"))
    if seen.tall_share and float(np.median(seen.tall_share)) < SMALL:
        said.append(Message("swing.far", tall_share=float(np.median(seen.tall_share))))
    if seen.with_player and seen.cut_off > CUT_SHARE * seen.with_player:
        said.append(Message("swing.cut_off"))
    if seen.light and float(np.median(seen.light)) < DARK:
        said.append(Message("swing.dark"))
    if seen.burnt and float(np.median(seen.burnt)) > BURNT:
        said.append(Message("swing.burnt"))
    sharp = [float(np.median(stretch.sharp)) for stretch in track.stretches if len(stretch.sharp)]
    if sharp and min(sharp) < BLURRED:
        said.append(Message("swing.blurred"))
    if track.bits_per_pixel is not None and track.bits_per_pixel < CRUSHED_AWAY:
        said.append(Message("swing.crushed"))
    many = np.array(seen.people) > 1
    if many.any():
        said.append(Message("swing.several_people" if many.mean() > 0.5 else "swing.passer_by"))
    return said


def swing_warnings(swing: Swing, view: View, quality: Quality) -> tuple[Message, ...]:
    """What of one swing is not measured, or less surely, and why."""
    said = []
    if swing.t_takeaway_s is None:
        said.append(Message("swing.starts_before"))
    elif view.azimuth_deg is None:
        said.append(Message("swing.not_still"))
    if swing.t_finish_s is None:
        said.append(Message("swing.ends_after"))
    if swing.seen_top < LEAST_SEEN:
        said.append(Message("swing.hidden_top"))
    if swing.t_finish_s is not None and swing.seen_finish < LEAST_SEEN:
        said.append(Message("swing.hidden_finish"))
    if swing.seen_down < LEAST_SEEN_DOWN:
        said.append(Message("swing.hands_blurred"))
    if quality.exchanged:
        said.append(Message("swing.exchanged"))
    if quality.crowded:
        said.append(Message("swing.crowded"))
    return tuple(said)
