"""How good the swing check is on one's own clips: what coaches marked against what was found; and the marks as an open, anonymous form."""

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from threequarter.app.film import BODY
from threequarter.app.lessons import with_marks
from threequarter.app.own_swings import kept_track
from threequarter.store.clips.clips import Clip, Clips
from threequarter.store.store import Store
from threequarter.swing.compare import ADDED, FIELDS, NOT_A_SWING, compare
from threequarter.swing.measure import INSTANTS

FORM: Final = "marked-swings"
VERSION: Final = 1
POINT_NAMES: Final = (
    "nose",
    *(
        f"{side}_{part}"
        for part in ("shoulder", "elbow", "wrist", "hip", "knee", "ankle")
        for side in ("left", "right")
    ),
)
MOST_CLIPS: Final = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One measure over all marks: its errors (found less marked, in the field's unit) and how many lie within the stated doubt."""

    name: str
    errors: tuple[float, ...]
    within: int

    @property
    def middle(self) -> float:
        """The median absolute error."""
        sizes = sorted(map(abs, self.errors))
        return sizes[len(sizes) // 2]

    @property
    def worst(self) -> float:
        """The largest error, with its sign."""
        return max(self.errors, key=abs)


@dataclass(slots=True, kw_only=True)
class OwnCheck:
    """Over all marked clips: swings that stand, that were missed and that were none; the fields that were marked."""

    clips: list[Clip] = field(default_factory=list)
    matched: int = 0
    missed: int = 0
    false: int = 0
    fields: list[Field] = field(default_factory=list)


def marked_clips(store: Store) -> list[Clip]:
    """The measured clips that somebody marked, newest first."""
    return [clip for clip in Clips(store).marked() if clip.state == "done" and clip.answer and _truth_of(clip)]


def own_check(store: Store) -> OwnCheck:
    """What was found against what was marked, over all marked clips that this coach sees."""
    found = OwnCheck(clips=marked_clips(store))
    errors: dict[str, list[float]] = {}
    within: dict[str, int] = {}
    for clip in found.clips:
        told = compare(clip.answer or {}, truth_of(store, clip))
        found.matched += told["matched"]
        found.missed += told["missed"]
        found.false += told["found_too_many"]
        for name, values in told["errors"].items():
            errors.setdefault(name, []).extend(values)
            within[name] = within.get(name, 0) + round(told["within_doubt"][name] * len(values))
    found.fields = [
        Field(name=name, errors=tuple(errors[name]), within=within[name]) for name in FIELDS if name in errors
    ]
    return found


def truth_of(store: Store, clip: Clip) -> dict[str, Any]:
    """The marks of a clip in the form of `swing --compare`: every swing that stands with what was marked of it; the lead arm where
    its points were marked."""
    answer = {str(swing["number"]): swing for swing in with_marks(store, clip, clip.marks or {})["swings"]}
    swings = []
    for number, told in _truth_of(clip).items():
        arms = {
            f"lead_arm_{end}_deg": answer[number][f"lead_arm_{end}_deg"]
            for end in ("top", "finish")
            if number in answer and (f"hands_{end}" in told or f"shoulder_{end}" in told)
        }
        swings.append({name: told[name] for name in (*INSTANTS, "near_s") if name in told} | arms)
    return {"swings": swings}


def _truth_of(clip: Clip) -> dict[str, dict[str, Any]]:
    """The swings that stand, by number, each with its marks; empty where nothing of any swing was marked."""
    marks = clip.marks or {}
    if not any(key.isdigit() or key == ADDED for key in marks):
        return {}
    found = (clip.answer or {"swings": []})["swings"]
    told: dict[str, dict[str, Any]] = {}
    for n, swing in enumerate(found, start=1):
        number = str(swing.get("number", n))
        mine = marks.get(number) or {}
        if not mine.get(NOT_A_SWING):
            told[number] = {"near_s": swing["t_impact_s"], **mine}
    for n, one in enumerate(marks.get(ADDED) or [], start=len(found) + 1):
        told[str(n)] = dict(one)
    return told or {"0": {}}


def exported(store: Store, clip_ids: Sequence[int]) -> dict[str, Any]:
    """The marks of the chosen clips in an open form (docs/marked-swings.md): points and times, no picture, name, place or date, in
    no order. Raises UserError where the points of one are not kept any more."""
    chosen = [clip for clip in marked_clips(store) if clip.id in set(clip_ids)][:MOST_CLIPS]
    clips = list(_exported(store, chosen))
    random.SystemRandom().shuffle(clips)
    return {"form": FORM, "version": VERSION, "points": POINT_NAMES, "clips": clips}


def _exported(store: Store, chosen: Sequence[Clip]) -> Iterator[dict[str, Any]]:
    for clip in chosen:
        seen, answer = kept_track(store, clip), clip.answer or {}
        start = seen.start_s
        yield {
            "frames_per_s": round(seen.frames_per_s, 3),
            "slower": answer.get("slower"),
            "picture_px": [seen.seen.width, seen.seen.height],
            "handedness": answer.get("handedness"),
            "stretches": [
                {
                    "time_s": [round(float(t) - start, 4) for t in one.time_s],
                    "points_px": [[[round(float(v), 1) for v in xy] for xy in row] for row in one.points[:, BODY]],
                    "visibility": [[round(float(v), 2) for v in row] for row in one.visibility[:, BODY]],
                }
                for one in seen.stretches
            ],
            "found": [
                _moved({name: swing.get(name) for name in FIELDS}, start) | {"doubt90": swing["doubt90"]}
                for swing in answer.get("swings", [])
            ],
            "marked": [_moved(one, start) for one in truth_of(store, clip)["swings"]],
        }


def _moved(values: dict[str, Any], start: float) -> dict[str, Any]:
    """The instants from the clip's first picture on."""
    return {
        name: round(value - start, 4) if value is not None and (name.startswith("t_") or name == "near_s") else value
        for name, value in values.items()
    }
