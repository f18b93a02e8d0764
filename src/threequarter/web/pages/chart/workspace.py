"""The chart as a workspace: what to hit next or enough, the yardstick, the matrix, and what one shot is made of."""

from typing import Any, Final
from urllib.parse import urlencode

from markupsafe import Markup

from threequarter.chart import mishits
from threequarter.chart.goal import goal_told
from threequarter.chart.meaning import shot_name, told
from threequarter.chart.next_ball import Advice, State
from threequarter.chart.result import Cell
from threequarter.golf.units import from_metres
from threequarter.language import line, lines, words
from threequarter.language.localize import N_, _, number
from threequarter.paper.pictures import lane_picture, yardstick
from threequarter.paper.pictures.shot_picture import balls_of, shot_picture
from threequarter.paper.pictures.sign import wedge_marks
from threequarter.web.view import ChartView

LANE: Final = 176
HEADS: Final[dict[State, str]] = {
    "hit": "",
    "enough": N_("Enough."),
    "strike": N_("Enough."),
    "limit": N_("Enough for today."),
    "check": N_("Look at this first."),
    "measure": N_("Measure it better."),
    "moved": N_("It moved."),
}


def workspace(view: ChartView, *, chosen: tuple[str, str], day: int, balls: str = "#balls") -> dict[str, Any]:
    """A chart for `chart/_workspace.html`. `day` is the session whose flights and films a shot leads to; `chosen` the club and swing
    that were tapped (any other: the shot to hit next); `balls` where every ball of the chart is shown."""
    advice, unit = view.answer.advice, view.unit
    asked = {(cell.club, cell.swing): cell for cell in view.chart.cells}
    at = chosen if chosen in asked else _first(advice, view)
    links = {shot: f"?{urlencode({'club': shot[0], 'swing': shot[1], 'unit': unit})}#shot" for shot in asked}
    lofts = [next(cell.loft_deg for cell in view.chart.cells if cell.club == club) for club in view.chart.clubs]
    marks = dict(zip(view.chart.clubs, wedge_marks(lofts), strict=True))
    wanted = (advice.suggestions[0].cell.club, advice.suggestions[0].cell.swing) if advice.suggestions else None
    if advice.stop:
        wanted = None
    found = view.answer.meaning
    return {
        "unit": unit,
        "unit_word": words.unit_word(unit),
        "marks": marks,
        "answer": answer_view(advice, unit),
        "yard_wide": Markup(yardstick.yardstick(view.chart, found, unit, links=links, chosen=at)),
        "yard_narrow": Markup(yardstick.yardstick(view.chart, found, unit, yardstick.PHONE, links=links, chosen=at)),
        "swings": view.chart.swings,
        "rows": [
            (club, [_cell(view, club, swing, links, at, wanted) for swing in view.chart.swings])
            for club in view.chart.clubs
        ],
        "lanes": [(club, _lanes(view, club, links)) for club in _turned(view.chart.clubs, at)],
        "shot": _shot(view, asked[at], day) if at else None,
        "means": _means(view, links, balls),
        "balls": balls,
        "mishits": lines(mishits.told(view.answer.mishits), unit),
        "notes": lines((*view.chart.checks, *view.chart.notes, *view.said), unit),
        "goal": line(goal_told(), unit),
        "made_of": view.made_of,
        "unsure": bool(view.unsure),
    }


def answer_view(advice: Advice, unit: Any) -> dict[str, Any]:
    """Next or enough for the panel that answers: a head, one shot where one is to be hit, what else is said."""
    block = advice.suggestions[0] if advice.suggestions else None
    hit = advice.state in ("hit", "check") and block is not None
    good = [_("Good enough overall: make the card.")] if advice.state == "enough" else []
    others = [told for told in advice.messages if told.code != "advice.next"]
    said = lines([told for told in others if told.code != "advice.enough"], unit)
    return {
        "state": advice.state,
        "stop": advice.stop,
        "head": _(HEADS[advice.state]) if HEADS[advice.state] else "",
        "shot": words.shot(block.cell) if hit and block else "",
        "swing": block.cell.swing if hit and block else "",
        "balls": block.balls if block else 0,
        "why": line(block.why, unit) if hit and block else "",
        "now": number(from_metres(block.halfwidth_now_m, unit), 1) if block else "",
        "after": number(from_metres(block.halfwidth_after_block_m, unit), 1) if block else "",
        "says": [" ".join([*good, *said])] if good else said,
    }


def _first(advice: Advice, view: ChartView) -> tuple[str, str] | None:
    cell = advice.suggestions[0].cell if advice.suggestions else next(iter(view.chart.cells), None)
    return (cell.club, cell.swing) if cell else None


def _turned(clubs: tuple[str, ...], at: tuple[str, str] | None) -> list[str]:
    """The wedges with the one looked at in front, for a screen that shows one at a time."""
    first = clubs.index(at[0]) if at and at[0] in clubs else 0
    return [*clubs[first:], *clubs[:first]]


def _cell(
    view: ChartView,
    club: str,
    swing: str,
    links: dict[tuple[str, str], str],
    at: tuple[str, str] | None,
    wanted: tuple[str, str] | None,
) -> dict[str, Any]:
    cell = view.chart.cell(club, swing)
    return {
        "shot": words.shot(cell),
        "href": links[club, swing],
        "carry": words.rounded(cell.stock_carry_m, view.unit),
        "doubt": view.doubt(cell),
        "balls": words.balls(cell.balls) if cell.balls else _("not hit"),
        "hit": cell.balls > 0,
        "chosen": (club, swing) == at,
        "wanted": (club, swing) == wanted,
    }


def _lanes(view: ChartView, club: str, links: dict[tuple[str, str], str]) -> list[dict[str, Any]]:
    """The shots of one wedge, far to near, each a row."""
    cells = sorted((cell for cell in view.chart.cells if cell.club == club), key=lambda cell: -cell.stock_carry_m)
    scale = lane_picture.lane_scale(cells, view.unit, LANE)
    return [
        {
            "swing": cell.swing,
            "href": links[club, cell.swing],
            "carry": words.rounded(cell.stock_carry_m, view.unit),
            "doubt": view.doubt(cell),
            "next": words.span(cell.next90_m, view.unit),
            "hit": cell.balls > 0,
            "picture": Markup(lane_picture.lane_picture(cell, view.unit, scale, view.chart.tail_df)),
        }
        for cell in cells
    ]


def _shot(view: ChartView, cell: Cell, day: int) -> dict[str, Any]:
    """What a shot is made of."""
    unit = view.unit
    shown = view.only_shot(cell)
    alone = {} if view.standing else {"of": "day"}
    address = f"/sessions/{day}/one?{urlencode({'club': cell.club, 'swing': cell.swing, 'unit': unit, **alone})}"
    mine = balls_of(cell, view.balls)
    return {
        "name": words.shot(cell),
        "swing": cell.swing,
        "carry": words.rounded(cell.stock_carry_m, unit),
        "doubt": view.doubt(cell),
        "next": words.span(cell.next90_m, unit),
        "another_day": words.span(cell.next_another_day90_m, unit),
        "words": shown["words"],
        "balls": words.balls(cell.balls) if cell.balls else "",
        "picture": Markup(shot_picture(view.chart, cell, view.balls, unit)) if mine else "",
        "list": shown["balls"],
        "address": address,
    }


def _means(view: ChartView, links: dict[tuple[str, str], str], balls: str) -> list[dict[str, str]]:
    """What the chart means, each claim with its sign and the way to what it rests on."""
    of_name = {shot_name(cell): links[cell.club, cell.swing] for cell in view.chart.cells}
    found = []
    for message in told(view.answer.meaning):
        about = next((message.values[key] for key in ("below", "first") if key in message.values), "")
        kind = message.code.rpartition(".")[2] if message.code.startswith("meaning.") else "filler"
        found.append({"kind": kind, "says": line(message, view.unit), "href": of_name.get(str(about), balls)})
    return found
