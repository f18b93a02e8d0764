"""What the reading page shows: the plan in words, one real value, the questions, the balls, the rows set aside."""

from typing import Any

from threequarter.golf.language import N_, _, number
from threequarter.golf.units import from_metres
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading

SHOWN = 25
QUESTION_FIELDS = {"--unit": "unit", "--decimal": "decimal"}
CHOICE_WORDS = {
    "yd": N_("yards"),
    "m": N_("metres"),
    "ft": N_("feet"),
    ".": N_("the point is the decimal mark (62.4)"),
    ",": N_("the comma is the decimal mark (62,4), a point groups thousands"),
}


def reading_page(reading: Reading, options: ReadOptions, kind: str) -> dict[str, Any]:
    """Values for the template."""
    first = next((ball for ball in reading.balls if ball.use), None)
    example = ""
    if first is not None and not reading.questions:
        place = _("row {row}").format(row=first.place.row) if first.place else _("the first ball")
        told = f"{first.club} {first.swing}, {number(from_metres(first.distance_m, reading.unit), 1)} {reading.unit}"
        if first.offline_m is not None:
            side = _("right") if first.offline_m >= 0 else _("left")
            told += f", {number(from_metres(abs(first.offline_m), reading.unit), 1)} {reading.unit} {side}"
        example = _("For example {place}: {ball}").format(place=place, ball=told)
    return {
        "reading": reading,
        "kind": kind,
        "example": example,
        "questions": [
            {
                "text": question.text,
                "field": QUESTION_FIELDS.get(question.option, f"col-{question.about}"),
                "choices": [(choice, _(CHOICE_WORDS.get(choice, choice))) for choice in question.choices],
            }
            for question in reading.questions
            if question.option
        ],
        "stuck": [question.text for question in reading.questions if not question.option],
        "nobody": _("nobody named"),
        "with_player": any(ball.player for ball in reading.balls),
        "players": [(whose or _("nobody named"), len(part.balls)) for whose, part in reading.by_player()],
        "fields": _fields(options),
        "shown": [
            {
                "row": ball.place.row if ball.place else ball.number,
                "sheet": ball.place.sheet if ball.place else None,
                "player": ball.player or "",
                "club": ball.club,
                "swing": ball.swing,
                "carry": number(from_metres(ball.distance_m, reading.unit), 1),
                "note": ball.note or (ball.strike.value if ball.strike else ""),
                "use": ball.use,
                "count": ball.count,
            }
            for ball in reading.balls[:SHOWN]
        ],
        "more": max(0, len(reading.balls) - SHOWN),
        "unit": reading.unit,
        "not_used": sum(not ball.use for ball in reading.balls),
        "rest": any(ball.measured_as == "rest" for ball in reading.balls),
    }


def _fields(options: ReadOptions) -> dict[str, str]:
    """The options as form fields, so that what is kept was read exactly as shown."""
    fields = {
        name: str(value) for name, value in options.to_json().items() if name not in ("columns", "clock", "header_line")
    }
    return fields | {f"col-{role}": heading for role, heading in options.columns.items()}
