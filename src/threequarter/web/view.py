"""What a page shows, gathered from the same calls that the commands make."""

from collections.abc import Mapping
from functools import cached_property
from typing import Any
from urllib.parse import quote

from markupsafe import Markup

from threequarter.app.charts import SessionChart
from threequarter.chart import mishits
from threequarter.chart.meaning import Meaning, cell_told, told
from threequarter.chart.next_ball import Shots, less_sure
from threequarter.chart.result import Cell, Verdict
from threequarter.golf.ball import Ball
from threequarter.golf.units import from_metres
from threequarter.language import lines, words
from threequarter.language.localize import N_, _, number
from threequarter.paper.pictures import chart_picture, ladder_picture
from threequarter.store.results import SessionInfo


class ChartView(SessionChart):
    """A chart with its balls, ready for a template."""

    @classmethod
    def of(cls, found: SessionChart) -> "ChartView":
        """The same chart, with what a template asks."""
        return cls(found.answer, found.unit, found.said, found.kept, found.made, found.air, found.standing)

    @property
    def at(self) -> str:
        """Where the chart stands with its balls: the page of its player, else of its day."""
        info = self.made[0][0]
        assert isinstance(info, SessionInfo)
        return f"/players/{quote(info.player, safe='')}" if self.standing and info.player else f"/sessions/{info.id}"

    @cached_property
    def unsure(self) -> Shots:
        """The shots whose number bears a "?"."""
        return less_sure(self.chart)

    def doubt(self, cell: Cell) -> str:
        """What stands after ± of a cell, with a "?" where it is less sure than the rest."""
        return f"{words.doubt(cell.stock90_m, self.unit)}{'?' if (cell.club, cell.swing) in self.unsure else ''}"

    def marks(self, ids: Mapping[int, int], chosen: int | None = None) -> dict[int, chart_picture.Mark]:
        """Where touching each ball leads, by its number; `ids` are the handles of the balls, `chosen` the one looked
        at."""
        verdicts = {verdict.number: verdict for verdict in self.chart.verdicts}
        return {
            ball.number: chart_picture.Mark(
                href=f"?ball={ids[ball.number]}&unit={self.unit}#ball",
                chosen=ids[ball.number] == chosen,
                label=_("Ball {number}: {shot}, {carry} {unit}, {judged}").format(
                    number=ball.number,
                    shot=f"{ball.club} {ball.swing}".strip(),
                    carry=number(from_metres(ball.distance_m, self.unit), 1),
                    unit=self.unit,
                    judged=_judged(ball, verdicts.get(ball.number)),
                ),
            )
            for ball in self.balls
            if ball.number in ids
        }

    def page(self, marks: Mapping[int, chart_picture.Mark] | None = None) -> dict[str, Any]:
        """Everything the session page needs; with `marks` its balls can be touched."""
        found = self.answer.meaning
        verdicts = {verdict.number: verdict for verdict in self.chart.verdicts}
        return {
            **self.in_words(),
            "picture_wide": Markup(chart_picture.chart_picture(self.chart, self.balls, self.unit, marks=marks)),
            "picture_narrow": Markup(
                chart_picture.chart_picture(self.chart, self.balls, self.unit, width=360, marks=marks)
            ),
            "picture_says": chart_picture.sentence(self.chart, self.unit),
            "ladder": [
                {
                    "shot": words.shot(cell),
                    "carry": words.carry(cell, self.unit),
                    "next": words.span(cell.next90_m, self.unit),
                }
                for cell in found.ladder
            ],
            **self.ladder(found),
            "means": lines(told(found)[1:], self.unit),
            "balls": [self._ball(ball, verdicts.get(ball.number)) for ball in self.balls],
        }

    def in_words(self) -> dict[str, Any]:
        """The table of distances, what to hit next and what to know, without pictures and single balls."""
        advice = self.answer.advice
        return {
            "unit": self.unit,
            "unit_word": words.unit_word(self.unit),
            "made_of": self.made_of,
            "swings": self.chart.swings,
            "rows": [(club, [self._cell(club, swing) for swing in self.chart.swings]) for club in self.chart.clubs],
            "next": lines(advice.messages, self.unit),
            "stop": advice.stop,
            "unsure": bool(self.unsure),
            "notes": lines((*self.chart.checks, *self.chart.notes, *self.said), self.unit),
            "mishits": lines(mishits.told(self.answer.mishits), self.unit),
        }

    def only_shot(self, cell: Cell) -> dict[str, Any]:
        """One shot for a template: what is said of it, and its balls."""
        verdicts = {verdict.number: verdict for verdict in self.chart.verdicts}
        mine = [ball for ball in self.balls if (ball.club, ball.swing) == (cell.club, cell.swing)]
        return {
            "words": lines(cell_told(cell), self.unit),
            "balls": [self._ball(ball, verdicts.get(ball.number)) for ball in mine],
        }

    def ladder(self, found: Meaning) -> dict[str, Any]:
        """All distances as a picture, for a wide and a narrow screen, and in a sentence."""
        return {
            "ladder_wide": Markup(ladder_picture.ladder_picture(found, self.unit)),
            "ladder_narrow": Markup(ladder_picture.ladder_picture(found, self.unit, width=360)),
            "ladder_says": ladder_picture.sentence(found, self.unit),
        }

    def _cell(self, club: str, swing: str) -> dict[str, Any]:
        cell = self.chart.cell(club, swing)
        return {
            "club": club,
            "swing": swing,
            "carry": words.rounded(cell.stock_carry_m, self.unit),
            "doubt": self.doubt(cell),
            "next": words.span(cell.next90_m, self.unit),
            "balls": words.balls(cell.balls) if cell.balls else _("not hit"),
            "words": lines(cell_told(cell), self.unit),
        }

    def _ball(self, ball: Ball, verdict: Verdict | None) -> dict[str, Any]:
        place = ball.place
        where = ""
        if place and place.row:
            row = _("row {row}").format(row=place.row)
            told = _("sheet {sheet}, row {row}").format(sheet=place.sheet, row=place.row) if place.sheet else row
            where = f"{place.file or ''} {told}"
        return {
            "number": ball.number,
            "club": ball.club,
            "swing": ball.swing,
            "carry": number(from_metres(ball.distance_m, self.unit), 1),
            "offline": ""
            if ball.offline_m is None
            else (_("{distance} R") if ball.offline_m >= 0 else _("{distance} L")).format(
                distance=number(from_metres(abs(ball.offline_m), self.unit), 1)
            ),
            "judged": _judged(ball, verdict),
            "note": ball.note or (ball.strike.value if ball.strike else ""),
            "where": where.strip(),
        }


def _judged(ball: Ball, verdict: Verdict | None) -> str:
    """A probability in words, never a verdict."""
    if not ball.use or verdict is None:
        return _("not used")
    if not verdict.mishit:
        return _("good {percent}").format(percent=words.percent(verdict.good))
    kind, chance = max(
        ((N_("fat"), verdict.fat), (N_("thin"), verdict.thin), (N_("toe"), verdict.toe)), key=lambda pair: pair[1]
    )
    return _("mishit {percent}, {kind} {chance}").format(
        percent=words.percent(1 - verdict.good), kind=_(kind), chance=words.percent(chance)
    )
