"""What a page shows, gathered from the same calls that the commands make."""

from collections.abc import Mapping
from typing import Any

from markupsafe import Markup

from threequarter.answers.answer import Counts
from threequarter.app.charts import SessionChart
<<<<<<< HEAD
from threequarter.chart import mishits, next_ball
from threequarter.chart.meaning import Meaning, cell_told, meaning, told
from threequarter.chart.result import Verdict
=======
from threequarter.chart import next_ball
from threequarter.chart.meaning import Meaning, cell_words, say
from threequarter.chart.result import Chart, Verdict
>>>>>>> 495cdf7 (One answer: keys, chart, API and prints ask the same plan; counts that add up)
from threequarter.golf.ball import Ball
from threequarter.golf.language import N_, _, ngettext, number
from threequarter.golf.units import from_metres
from threequarter.language import lines, words
from threequarter.paper.pictures import chart_picture, ladder_picture


class ChartView(SessionChart):
    """A chart with its balls, ready for a template."""

    @classmethod
    def of(cls, found: SessionChart) -> "ChartView":
        """The same chart, with what a template asks."""
        return cls(found.answer, found.unit, found.said, found.kept)

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
<<<<<<< HEAD
        found = meaning(self.chart)
        advice = next_ball.advise(self.chart, self.balls)
=======
        found, advice = self.answer.meaning, self.answer.advice
>>>>>>> 495cdf7 (One answer: keys, chart, API and prints ask the same plan; counts that add up)
        verdicts = {verdict.number: verdict for verdict in self.chart.verdicts}
        return {
            "unit": self.unit,
            "unit_word": words.unit_word(self.unit),
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
            "swings": self.chart.swings,
            "rows": [(club, [self._cell(club, swing) for swing in self.chart.swings]) for club in self.chart.clubs],
            "means": lines(told(found)[1:], self.unit),
            "next": lines(advice.messages, self.unit),
            "stop": advice.stop,
            "notes": lines((*self.chart.checks, *self.chart.notes, *self.said), self.unit),
<<<<<<< HEAD
            "mishits": lines(mishits.told(mishits.mishits(self.chart, self.balls)), self.unit),
=======
            **counts_words(self.counts, self.chart),
>>>>>>> 495cdf7 (One answer: keys, chart, API and prints ask the same plan; counts that add up)
            "balls": [self._ball(ball, verdicts.get(ball.number)) for ball in self.balls],
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
            "doubt": words.doubt(cell.stock90_m, self.unit),
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


def counts_words(counts: Counts, chart: Chart) -> dict[str, Any]:
    """The balls in words that add up, and how often a ball was not a good one, of how many and how that was counted."""
    parts = [ngettext("{count} charted", "{count} charted", counts.charted).format(count=counts.charted)]
    if counts.marked:
        said = ngettext("{count} warm-up or marked", "{count} warm-up or marked", counts.marked)
        parts.append(said.format(count=counts.marked))
    if counts.set_aside:
        said = ngettext("{count} set aside by hand", "{count} set aside by hand", counts.set_aside)
        parts.append(said.format(count=counts.set_aside))
    return {
        "counts": counts,
        "counts_say": _("{read} read: {parts}").format(read=words.balls(counts.read), parts=", ".join(parts)),
        "mishits_say": mishits_say(counts, chart),
    }


def mishits_say(counts: Counts, chart: Chart) -> str:
    """How often a ball was not a good one; not known where only piles were measured."""
    if not counts.judged:
        return _("Mishits: not known from piles; only balls measured one by one tell them.")
    rate = chart.cells[0]
    said = ngettext(
        "Mishits: {likely} of {count} ball measured alone is likely one. By the chances of each, the share is {share} ({low} to {high}).",
        "Mishits: {likely} of {count} balls measured one by one are likely ones. By the chances of each, the share is {share} ({low} to {high}).",
        counts.judged,
    )
    return said.format(
        likely=counts.mishits,
        count=counts.judged,
        share=words.percent(rate.mishit_rate),
        low=words.percent(rate.mishit_rate90.low),
        high=words.percent(rate.mishit_rate90.high),
    )


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
