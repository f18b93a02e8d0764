"""The swing check as plain JSON with its words in the language in use; an answer that was kept is said again."""

from collections.abc import Mapping, Sequence
from typing import Any, Final

from threequarter.golf.errors import UserError
from threequarter.golf.message import Message, from_json
from threequarter.language import say as told
from threequarter.swing import words
from threequarter.swing.answer import measured
from threequarter.swing.check import SwingCheck

OLD: Final[dict[str, tuple[str, dict[str, tuple[str, float]]]]] = {
    "camera off square by about {angle}° to the target side: move it away from the target (to its own left), square to the chest": (
        "swing.off_square_target_left",
        {"angle": ("angle_deg", 1)},
    ),
    "camera off square by about {angle}° to the target side: move it away from the target (to its own right), square to the chest": (
        "swing.off_square_target_right",
        {"angle": ("angle_deg", 1)},
    ),
    "camera off square by about {angle}° to the trail side: move it towards the target (to its own left), square to the chest": (
        "swing.off_square_trail_left",
        {"angle": ("angle_deg", 1)},
    ),
    "camera off square by about {angle}° to the trail side: move it towards the target (to its own right), square to the chest": (
        "swing.off_square_trail_right",
        {"angle": ("angle_deg", 1)},
    ),
    "the camera seems turned by about {angle}°: move it to its own left, square to the chest": ("swing.not_still", {}),
    "the camera seems turned by about {angle}°: move it to its own right, square to the chest": ("swing.not_still", {}),
    "the picture shakes: put the phone on something steady": ("swing.shakes", {}),
    "{frames} frames a second: impact is known to about ±{doubt} ms; film with 60 or more": (
        "swing.few_frames",
        {"frames": ("frames", 1), "doubt": ("doubt_ms", 1)},
    ),
    "the player fills only {share} % of the picture's height: come nearer": (
        "swing.far",
        {"share": ("tall_share", 0.01)},
    ),
    "the player is cut off at the head or the feet: step back until the whole body and the club are in view": (
        "swing.cut_off",
        {},
    ),
    "the picture is dark: film towards the light side or in better light": ("swing.dark", {}),
    "several people are in view: the largest was measured; let only the player be seen": ("swing.several_people", {}),
    "no player was seen in this clip": ("swing.no_player", {}),
    "no swing was found: no fast move of the hands back and through the ball": ("swing.no_swing", {}),
}
"""Warnings as release 0.1.0 kept them: the text then, the message now, and how each value is named and scaled."""
USUAL_DOUBT_DEG: Final = 5.0


def swings_answer(
    found: SwingCheck, felt: Sequence[str | None] = (), own: words.Lengths = words.USUAL
) -> dict[str, Any]:
    """The object of the contract: swings, handedness, camera, words, warnings. `felt` names what was meant, swing by swing; a
    single name holds for all. Raises UserError where it names no length that a camera can see."""
    answer = measured(found, felt)
    for swing in answer["swings"]:
        if swing["felt"]:
            words.meant_words(swing, swing["felt"], own)
    return said_again(answer, own)


def said_again(answer: Mapping[str, Any], own: words.Lengths = words.USUAL) -> dict[str, Any]:
    """An answer that was kept, also by release 0.1.0, with its words and warnings in the language in use."""
    swings = [_swing_again(swing, own) for swing in answer["swings"]]
    alike = words.alike(swings, own)
    again = {**answer, "swings": swings, "words": [told(alike)] if alike else []}
    if "warnings_told" in answer:
        again["warnings"] = [told(from_json(line)) for line in answer["warnings_told"]]
    elif "warnings_said" in answer:
        again["warnings"] = [_old(text, values) for text, values in answer["warnings_said"]]
    return again


def _swing_again(swing: Mapping[str, Any], own: words.Lengths) -> dict[str, Any]:
    try:
        lines = words.say(swing, own)
    except UserError:  # a length was meant that no camera sees
        lines = words.say({**swing, "felt": None}, own)
    matched = words.match(swing)
    again = {
        **swing,
        "words": [told(line) for line in lines],
        "match": matched.kind,
        "match_by_deg": None if matched.by_deg is None else round(matched.by_deg, 2),
    }
    if "warnings_told" in swing:
        again["warnings"] = [told(from_json(line)) for line in swing["warnings_told"]]
    return again


def _old(text: str, values: Mapping[str, Any]) -> str:
    if text not in OLD:
        return text.format(**values)
    code, names = OLD[text]
    turned = {new: float(values[old]) * times for old, (new, times) in names.items() if old in values}
    if code.startswith("swing.off_square"):
        turned["doubt_deg"] = USUAL_DOUBT_DEG
    return told(Message(code, **turned))
