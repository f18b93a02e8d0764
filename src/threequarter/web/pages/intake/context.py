"""What the reading page shows: the plan in words, one real value for each column, the questions, the balls, the rows
set aside."""

from collections.abc import Mapping, Sequence
from typing import Any, Final
from urllib.parse import urlencode

from threequarter.golf.ball import Ball
from threequarter.golf.errors import UserError
from threequarter.golf.message import Message
from threequarter.golf.units import from_metres
from threequarter.intake.changes import alike, changes, key_of
from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import ColumnSeen, Question, Reading
from threequarter.intake.tables.layout import place_of
from threequarter.language import say
from threequarter.language.localize import N_, _, day, number

SHOWN: Final = 100
CHANGES_SHOWN: Final = 12
NO_BALL_MARK: Final = "~"
"""Between the marks of balls in a form's field."""
QUESTION_FIELDS: Final = {
    "--unit": "unit",
    "--decimal": "decimal",
    "--twins": "twins",
    "--each": "each",
    "--remarks": "remarks",
    "--across": "across",
    "--sheet": "sheet",
    "--right": "right",
}
CHOICE_WORDS: Final = {
    "yd": N_("yards"),
    "m": N_("metres"),
    "ft": N_("feet"),
    "first": N_("the first number"),
    "last": N_("the second number"),
    "middle": N_("the middle of both"),
    "ball": N_("a single ball"),
    "mean": N_("the mean of several balls"),
    "players": N_("each of these columns is a player"),
    "swings": N_("each of these columns is a swing length"),
    "measures": N_("neither: they are different measures"),
    "keep": N_("they count as they were read"),
    "leave": N_("leave these balls out"),
    "+": N_("plus is right of the line"),
    "-": N_("plus is left of the line"),
    ".": N_("the point is the decimal mark (62.4)"),
    ",": N_("the comma is the decimal mark (62,4), a point groups thousands"),
}
ROLES: Final = {
    "carry": N_("carry"),
    "club": N_("club"),
    "swing": N_("swing"),
    "player": N_("player"),
    "note": N_("strike or note"),
    "offline": N_("side"),
    "number": N_("number of the ball"),
    "loft": N_("loft"),
    "ball_speed": N_("ball speed"),
    "launch": N_("launch angle"),
    "spin": N_("backspin"),
    "pile": N_("middle of a pile"),
    "count": N_("how many balls"),
    "use": N_("used"),
    "drop": N_("left out"),
}
"""What a person may say a column is."""
OTHER_ROLES: Final = {
    "side_word": N_("left or right"),
    "shot_label": N_("club and swing"),
    "date": N_("date the ball was hit"),
}
LENGTHS: Final = ("carry", "pile", "offline")
UNITS: Final = {
    "carry": ("yd", "m", "ft"),
    "pile": ("yd", "m", "ft"),
    "offline": ("yd", "m", "ft", "cm"),
    "ball_speed": ("mph", "km/h", "m/s"),
}
ALLOWED: Final = {
    "unit": ("yd", "m", "ft"),
    "decimal": (".", ","),
    "twins": ("first", "last", "middle"),
    "each": ("ball", "mean"),
    "across": ("players", "swings", "measures"),
    "remarks": ("keep", "leave"),
    "right": ("+", "-"),
}
"""What an answer may be, where it is one of few."""
IGNORED: Final = "ignore"
DOUBTED: Final = ("carry", "club", "offline", "player", "rows", "sheet", "swing", "unit")
AS_READ: Final = "as-read-"
"""Before the subject of a doubt that a person cleared up by looking."""


def reading_page(reading: Reading, options: ReadOptions, kind: str, before: Reading | None = None) -> dict[str, Any]:
    """Values for the template; `before` is the reading without what a person corrected."""
    fields = fields_of(options)
    return {
        "reading": reading,
        "error": say(reading.error) if reading.error else "",
        "plan": [say(line) for line in reading.plan],
        "kind": kind,
        "example": _example(reading),
        "columns": columns_view(reading, options) if kind == "table" else [],
        "roles": ROLES,
        "questions": [
            {
                "text": say(question.text),
                "field": _field(question),
                "choices": [(choice, _choice(choice, reading)) for choice in question.choices],
                "look": question.option == "--as-read",
            }
            for question in reading.questions
            if question.option
        ],
        "stuck": [say(question.text) for question in reading.questions if not question.option],
        "nobody": _("no name"),
        "with_player": any(ball.player for ball in reading.balls),
        "players": [(whose or _("no name"), len(part.balls)) for whose, part in reading.by_player()],
        "fields": fields,
        "changed": changed(before, reading) if before else [],
        "more_changed": max(0, len(changes(before, reading)) - CHANGES_SHOWN) if before else 0,
        "back_in": without_last(options, fields) if options.no_balls else "",
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
                "no_ball": no_ball_link(options, fields, (ball,)) if kind == "table" else "",
                **alike_view(reading, ball, options, fields, kind),
            }
            for ball in reading.balls[:SHOWN]
        ],
        "more": max(0, len(reading.balls) - SHOWN),
        "unit": reading.unit,
        "not_used": sum(not ball.use for ball in reading.balls),
        "rest": any(ball.measured_as == "rest" for ball in reading.balls),
    }


def _field(question: Question) -> str:
    """The name of the form's field that answers a question."""
    if question.option == "--column":
        return f"tell-{question.about}"
    if question.option == "--as-read":
        return f"{AS_READ}{question.about}"
    return QUESTION_FIELDS.get(question.option, f"col-{question.about}")


def no_ball_link(options: ReadOptions, fields: Mapping[str, str], balls: Sequence[Ball]) -> str:
    """The address of the same page with these balls told to be none."""
    marks = dict.fromkeys((*options.no_balls, *(key_of(ball.place) for ball in balls if ball.place)))
    return "?" + urlencode({**fields, "no-balls": NO_BALL_MARK.join(marks)})


def without_last(options: ReadOptions, fields: Mapping[str, str]) -> str:
    """The address of the same page with all balls back that were told to be none."""
    return "?" + urlencode({**{name: value for name, value in fields.items() if name != "no-balls"}, "looked": "1"})


def alike_view(
    reading: Reading, ball: Ball, options: ReadOptions, fields: Mapping[str, str], kind: str
) -> dict[str, Any]:
    """The offer to leave out with a ball all that bear the same remark."""
    others = alike(reading, ball) if kind == "table" and ball.note else ()
    return {"alike": len(others), "all_alike": no_ball_link(options, fields, (ball, *others)) if others else ""}


def changed(before: Reading, after: Reading) -> list[dict[str, str]]:
    """What a correction changes, ball by ball."""
    return [
        {
            "row": str(place.row) if (ball := one.after or one.before) and (place := ball.place) else "",
            "before": _ball_words(one.before, after),
            "after": _ball_words(one.after, after),
        }
        for one in changes(before, after)[:CHANGES_SHOWN]
    ]


def _ball_words(ball: Ball | None, reading: Reading) -> str:
    if ball is None:
        return _("no ball")
    told = f"{ball.club} {ball.swing}".strip()
    far = f"{number(from_metres(ball.distance_m, reading.unit), 1)} {reading.unit}"
    if ball.offline_m:
        side = _("right") if ball.offline_m > 0 else _("left")
        far += f", {number(from_metres(abs(ball.offline_m), reading.unit), 1)} {reading.unit} {side}"
    return f"{told} {far}".strip() if ball.use else f"{told} {far} {_('(not used)')}".strip()


def _choice(choice: str, reading: Reading) -> str:
    """An answer in words: "C=carry" is column C, by its heading, and what it is then."""
    letter, sign, role = choice.rpartition("=")
    if choice in DOUBTED:
        return _("I have looked: keep it as it was read")
    if not sign:
        return _(CHOICE_WORDS.get(choice, choice))
    column = next((c for c in reading.columns if c.number - 1 == place_of(letter)), None)
    name = f"{letter} “{column.heading}”" if column and column.heading else letter
    return _("{column} is: {role}").format(
        column=name, role=_(ROLES.get(role) or OTHER_ROLES.get(role) or N_("none of these: ignore it"))
    )


def role_words(role: str) -> str:
    """A role as the page names it."""
    return _(ROLES.get(role) or OTHER_ROLES.get(role) or role)


def _example(reading: Reading) -> str:
    first = next((ball for ball in reading.balls if ball.use), None)
    if first is None or reading.questions:
        return ""
    place = _("row {row}").format(row=first.place.row) if first.place else _("the first ball")
    told = f"{first.club} {first.swing}, {number(from_metres(first.distance_m, reading.unit), 1)} {reading.unit}"
    if first.offline_m is not None:
        side = _("right") if first.offline_m >= 0 else _("left")
        told += f", {number(from_metres(abs(first.offline_m), reading.unit), 1)} {reading.unit} {side}"
    return _("For example {place}: {ball}").format(place=place, ball=told)


def columns_view(reading: Reading, options: ReadOptions) -> list[dict[str, Any]]:
    """Each column of the file with what it was taken for and one real value: as written, and as it is kept."""
    first = _first_ball(reading)
    said = {wanted: role for role, wanted in options.columns.items()} | dict.fromkeys(options.ignore, IGNORED)
    shown = []
    for column in reading.columns:
        value = kept_value(column.role, first, reading) if first else ""
        shown.append(
            {
                "number": column.number,
                "heading": column.heading,
                "role": column.role,
                "found": _found(column),
                "verdict": column.verdict if not column.role else "read",
                "said": said.get(str(column.number)) or said.get(column.heading) or "",
                "cells": column.cells,
                "from": column.cell.strip()[:40],
                "to": value,
                "unit": options.units.get(str(column.number), ""),
                "units": UNITS.get(column.role or "", ()),
            }
        )
    return shown


def _found(column: ColumnSeen) -> str:
    """What a column was taken for, or why it is not used."""
    named = ROLES.get(column.role or "") or OTHER_ROLES.get(column.role or "")
    if named:
        return _(named)
    if column.verdict == "asked":
        return _("asked")
    return say(Message(f"intake.why.{column.why}")) if column.why else _("not used")


def _first_ball(reading: Reading) -> Ball | None:
    """The ball in whose row the columns' cells stand."""
    if not reading.columns:
        return None
    seen: ColumnSeen = reading.columns[0]
    return next((b for b in reading.balls if b.place and (b.place.sheet, b.place.row) == (seen.sheet, seen.row)), None)


def kept_value(role: str | None, ball: Ball, reading: Reading) -> str:
    """What is kept of a column's cell for a ball, in words; nothing for a column that is not used."""
    if role in ("carry", "pile"):
        if any(question.about == "unit" for question in reading.questions):
            return number(ball.distance_m / 0.9144, 1) + " ?"
        return f"{number(from_metres(ball.distance_m, reading.unit), 1)} {reading.unit}"
    if role in ("offline", "side_word"):
        if ball.offline_m is None:
            return ""
        side = _("right") if ball.offline_m > 0 else _("left") if ball.offline_m < 0 else ""
        return f"{number(from_metres(abs(ball.offline_m), reading.unit), 1)} {reading.unit} {side}".strip()
    if role == "note":
        return _(ball.strike.value) if ball.strike else ball.note or ""
    if role in ("use", "drop"):
        return _("used") if ball.use else _("not used")
    held_on = reading.held_on(ball)
    texts: dict[str | None, str] = {
        "date": day(held_on) if held_on else "",
        "club": ball.club,
        "swing": ball.swing,
        "player": ball.player or "",
        "number": "",
        "shot_label": f"{ball.club} {ball.swing}".strip(),
        "count": str(ball.count),
        "loft": _measured(ball.loft_deg, "°", 1),
        "ball_speed": _measured(ball.ball_speed_mps, " m/s", 1),
        "launch": _measured(ball.launch_deg, "°", 1),
        "spin": _measured(ball.backspin_rpm, " rpm", 0),
    }
    return texts.get(role, "")


def _measured(value: float | None, unit: str, digits: int) -> str:
    return "" if value is None else f"{number(value, digits)}{unit}"


def fields_of(options: ReadOptions) -> dict[str, str]:
    """The options as form fields, so that what is kept was read exactly as shown."""
    told = options.to_json()
    fields = {
        name: str(value)
        for name, value in told.items()
        if name not in ("columns", "clock", "header_line", "ignore", "units", "no_balls", "learned", "as_read")
    }
    fields |= {f"col-{role}": heading for role, heading in options.columns.items()}
    fields |= {f"as-{number}": IGNORED for number in options.ignore}
    fields |= {f"{AS_READ}{about}": about for about in options.as_read}
    if options.no_balls:
        fields["no-balls"] = NO_BALL_MARK.join(options.no_balls)
    return fields | {f"unit-{number}": unit for number, unit in options.units.items()}


def options_of(fields: Mapping[str, str]) -> ReadOptions:
    """The options of form fields: those of `fields_of`, and `as-3` telling what column 3 is. Raises UserError for what
    cannot be."""
    columns = {name[4:]: value for name, value in fields.items() if name.startswith("col-") and value}
    unknown = sorted(set(columns) - {*ROLES, *OTHER_ROLES})
    ignore: list[str] = []
    for answer in (value for name, value in fields.items() if name.startswith("tell-") and value):
        letter, _sign, role = answer.rpartition("=")
        place = place_of(letter)
        if place is None or (role != IGNORED and role not in ROLES):
            unknown.append(role)
        elif role == IGNORED:
            ignore.append(str(place + 1))
        else:
            columns[role] = str(place + 1)
    for name, role in fields.items():
        if not name.startswith("as-") or name.startswith(AS_READ) or not role:
            continue
        column = name[3:]
        if not column.isascii() or not column.isdigit() or (role != IGNORED and role not in ROLES):
            unknown.append(role)
        elif role == IGNORED:
            ignore.append(column)
        elif columns.get(role, column) != column and f"col-{role}" not in fields:
            raise UserError(
                _("Two columns claim to be the {role}. Choose one; ignore the other.").format(role=_(ROLES[role]))
            )
        else:
            columns[role] = column
    if unknown:
        raise UserError(_("No column can be {role}.").format(role=repr(unknown[0][:40])))
    plain = {
        name: fields[name]
        for name in (
            "unit",
            "decimal",
            "twins",
            "each",
            "across",
            "remarks",
            "sheet",
            "right",
            "player",
            "club",
            "swing",
        )
        if fields.get(name)
    }
    for name, values in ALLOWED.items():
        if name in plain and plain[name] not in values:
            raise UserError(
                _("{name} must be one of {values}, not {typed}.").format(
                    name=name, values=", ".join(values), typed=repr(plain[name][:40])
                )
            )
    units = {name[5:]: value for name, value in fields.items() if name.startswith("unit-") and value}
    if bad := [unit for unit in units.values() if unit not in ("yd", "m", "ft", "cm", "mph", "km/h", "m/s")]:
        raise UserError(_("We do not know the unit {unit}.").format(unit=repr(bad[0][:40])))
    no_balls = tuple(mark for mark in fields.get("no-balls", "").split(NO_BALL_MARK) if mark)
    as_read = tuple(value for name, value in fields.items() if name.startswith(AS_READ) and name == f"{AS_READ}{value}")
    return ReadOptions(
        columns=columns,
        ignore=tuple(ignore),
        units=units,
        no_balls=no_balls,
        as_read=as_read,
        **plain,  # type: ignore[arg-type]
    )
