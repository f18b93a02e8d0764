"""A player's own: the body levels as posed on film, and the swings of other clips, beside which one is read."""

import datetime
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from threequarter.golf.errors import UserError
from threequarter.language.localize import _
from threequarter.store.clips.clips import Clip, Clips
from threequarter.store.clips.live import FILM
from threequarter.store.clips.marks_of_player import marks_of_player
from threequarter.store.people.plans import Plans
from threequarter.store.store import Store
from threequarter.swing.marks import POSES, pose_height
from threequarter.swing.track import Track
from threequarter.swing.words import Lengths, OwnTempo, calibrated


def own_clips(store: Store, clip: Clip) -> Iterator[Clip]:
    """All clips of the clip's player, oldest sessions first; of a session of nobody its own clips."""
    if clip.session_id is None:
        yield clip
        return
    player = store.session(clip.session_id).player
    sessions = sorted(one.id for one in store.sessions([player])) if player else [clip.session_id]
    clips = Clips(store)
    for session_id in sessions:
        yield from clips.of_session(session_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Posed:
    """A body level as a player held it on film: the hand height, and the clip with the day it was filmed on."""

    hand_height: float
    clip_id: int
    held_on: datetime.date


def posed_levels(store: Store, player: str) -> dict[str, Posed]:
    """The last pose of each level of a player, as `own_lengths` goes by."""
    days = {one.id: one.held_on for one in store.sessions([player])}
    return {
        name: Posed(hand_height=told["hand_height"], clip_id=clip_id, held_on=days[session_id])
        for session_id, clip_id, marks in marks_of_player(store, player)
        if session_id in days
        for name, told in (marks.get(POSES) or {}).items()
    }


def own_lengths(store: Store, clip: Clip) -> Lengths:
    """What swing lengths mean to the player of a clip: the last pose of each level ("this is my chest"), the usual height where none was
    posed; and the lead arm where the plan tells it in degrees."""
    poses: dict[str, float] = {}
    for one in own_clips(store, clip):
        poses |= {name: told["hand_height"] for name, told in ((one.marks or {}).get(POSES) or {}).items()}
    plan = Plans(store).of_session(clip.session_id) if clip.session_id is not None else None
    return Lengths(calibrated(poses), plan.arms_deg if plan else {})


def own_tempos(store: Store, clip: Clip) -> list[OwnTempo]:
    """Lead arm at the top and tempo of every swing of the player's other clips, practice swings left out."""
    return tempos_beside(list(own_clips(store, clip)), clip.id)


def tempos_beside(clips: Sequence[Clip], clip_id: int) -> list[OwnTempo]:
    """The same of the clips given, but for one. A swing seen live whose clip was kept counts once, by its film."""
    measured = {clip.id for clip in clips if clip.answer}
    return [
        (float(swing["lead_arm_top_deg"]), float(swing["tempo_ratio"]))
        for other in clips
        if other.id != clip_id and other.answer
        for swing in other.answer["swings"]
        if swing.get("tempo_ratio") is not None
        and swing.get("lead_arm_top_deg") is not None
        and swing.get("struck") != "practice"
        and (swing.get(FILM) or {}).get("clip") not in measured
    ]


def keep_pose(store: Store, clip: Clip, level: str, at_s: float | None) -> None:
    """Keeps that the player holds a level at an instant of the clip; without an instant the level's pose is taken away.

    Raises UserError where the player is not seen then, or the pose lies in the wrong order with the others.
    """
    marks = dict(clip.marks or {})
    poses = {name: told for name, told in (marks.get(POSES) or {}).items() if name != level}
    if at_s is not None:
        height = round(pose_height(kept_track(store, clip), at_s), 3)
        poses[level] = {"t_s": round(at_s, 3), "hand_height": height}
        known = {
            name: told["hand_height"]
            for one in own_clips(store, clip)
            if one.id != clip.id
            for name, told in ((one.marks or {}).get(POSES) or {}).items()
        }
        calibrated(known | {name: told["hand_height"] for name, told in poses.items()})
    marks = {name: told for name, told in marks.items() if name != POSES} | ({POSES: poses} if poses else {})
    Clips(store).keep_marks(clip.id, marks)


def kept_track(store: Store, clip: Clip) -> Track:
    """The body points of a clip. Raises UserError where they are not kept any more."""
    from threequarter.swing.keep import load_track

    try:
        return load_track(Clips(store).made(clip.id) / "track.npz")
    except (OSError, ValueError, KeyError):
        raise UserError(_("We no longer have the body points of this clip. Send it again to correct it.")) from None
