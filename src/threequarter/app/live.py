"""A swing seen live: measured from its points, said for the screen and for the ear, kept without any picture."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from threequarter.answers.swing import swings_answer
from threequarter.golf.message import Message
from threequarter.language import localize, say
from threequarter.language.localize import _
from threequarter.store.clips.live import LiveSwings
from threequarter.store.store import Store
from threequarter.swing.filming import REFUSALS
from threequarter.swing.live import LiveSeen, check_live, own_strike
from threequarter.swing.words import Match, match, match_words

NO_NEWS: Final = ("swing.few_frames", "swing.no_swing", "swing.lost")
"""What is not told after every ball: that a live picture has few frames, and that a move was no swing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LiveAnswer:
    """What became of the last move of the hands: kind "ball", "practice", "swing" (nobody listened), "refused" or "nothing"; the
    answer of the contract and its one swing, what to say, how far the sound of the ball lay from the arm, and how
    loud it was."""

    kind: str
    answer: Mapping[str, Any]
    swing: Mapping[str, Any] | None = None
    lines: tuple[str, ...] = ()
    spoken: str = ""
    bang_off_s: float | None = None
    bang_db: float | None = None

    @property
    def finished(self) -> bool:
        """Whether the swing was seen to its end."""
        return self.swing is not None and self.swing["t_finish_s"] is not None


def measure_live(live: LiveSeen, down_s: float, lag_s: float | None = None) -> LiveAnswer:
    """The swing whose hands were fast at `down_s`; `lag_s` as `own_strike` takes it."""
    seen, found = check_live(live)
    answer = swings_answer(found)
    refused = tuple(say(line) for line in found.warnings if line.code not in NO_NEWS)
    near = [k for k, swing in enumerate(found.swings) if abs(swing.t_impact_s - down_s) < 0.6]
    if not near:
        from_the_side = any(line.code in REFUSALS for line in found.warnings)
        return LiveAnswer(
            kind="refused" if from_the_side else "nothing",
            answer=answer,
            lines=refused,
            spoken=refused[0] if from_the_side else "",
        )
    k = near[-1]
    swing = dict(answer["swings"][k])
    bang = own_strike(seen, found.swings[k].t_impact_s, lag_s)
    kind = "swing" if not seen.heard else "practice" if bang is None else "ball"
    swing["struck"] = {"ball": "ball", "practice": "practice", "swing": "unknown"}[kind]
    matched = match(swing)
    return LiveAnswer(
        kind=kind,
        answer=answer,
        swing=swing,
        lines=(*swing["warnings"], *refused),
        spoken=spoken(swing, matched, kind),
        bang_off_s=bang and bang[0],
        bang_db=bang and bang[1],
    )


def spoken(swing: Mapping[str, Any], matched: Match, kind: str) -> str:
    """What a voice says of a swing: short, the player stands over the next ball."""
    if kind == "practice":
        return _("Practice swing.")
    said = [_("Back {degrees} degrees").format(degrees=localize.number(swing["lead_arm_top_deg"]))]
    if (through := swing["lead_arm_finish_deg"]) is not None:
        said.append(_("through {degrees}").format(degrees=localize.number(through)))
    lines = [", ".join(said), _without_doubt(match_words(matched))]
    if (tempo := swing["tempo_ratio"]) is not None:
        lines.append(_("Tempo {times} to 1").format(times=localize.number(tempo, 1)))
    return ". ".join(line[:1].upper() + line[1:] for line in lines if line) + "."


def _without_doubt(line: Message) -> str:
    """A plus-minus is for the eye."""
    return say(line).partition(" (±")[0]


def keep_live(store: Store, session_id: int, clip_id: int | None, found: LiveAnswer, ago_s: float) -> tuple[int, int]:
    """Keeps the swing of a ball; returns its clip and its number there."""
    assert found.swing is not None
    return LiveSwings(store).add(session_id, clip_id, found.answer, found.swing, ago_s)
