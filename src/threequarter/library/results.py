"""What the calls give back: frozen results with rows in SI and the answer of the command of the same name as JSON."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from threequarter.answers.answer import Answer
from threequarter.answers.chart import chart_answer, next_answer
from threequarter.answers.day import day_answer
from threequarter.answers.recheck import recheck_answer
from threequarter.answers.shot import shot_answer
from threequarter.app.file_days import made_of
from threequarter.chart.day import DayChart, Effect
from threequarter.chart.next_ball import Advice
from threequarter.chart.result import Cell, Chart
from threequarter.choice.green import Green
from threequarter.choice.shot import Option
from threequarter.choice.strokes import Level
from threequarter.flight.weather import Weather
from threequarter.golf.message import Message
from threequarter.golf.units import DistanceUnit
from threequarter.intake.answer import ball_answer, reading_answer
from threequarter.intake.load import FileBalls, balls_of
from threequarter.intake.reading import Question, Reading, SetAside
from threequarter.language import line, lines, say
from threequarter.library.rows import Row, Rows, row_of
from threequarter.measurement.carry import Ground
from threequarter.practice.recheck import Recheck
from threequarter.swing.check import SwingCheck
from threequarter.swing.track import Track


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class ReadResult(Rows):
    """A file as balls, one row a ball. `ground`: where balls measured at rest ran out. With `questions` open it cannot be charted."""

    reading: Reading
    ground: Ground | None = None

    @property
    def unit(self) -> DistanceUnit:
        """The unit the file is written in."""
        return self.reading.unit

    @property
    def questions(self) -> tuple[Question, ...]:
        """What the file does not tell; a `ReadOptions` answers it."""
        return self.reading.questions

    @property
    def words(self) -> list[str]:
        """The questions, a sentence each."""
        return [say(question.text) for question in self.reading.questions]

    @property
    def set_aside(self) -> tuple[SetAside, ...]:
        """Rows that are no ball, and why."""
        return self.reading.set_aside

    def balls(self) -> FileBalls:
        """The balls brought to carry, with the days and conditions that the file tells. Raises UserError where a question is
        open."""
        return balls_of(self.reading, self.ground)

    def rows(self) -> list[Row]:
        """One row a ball, as it was read: `carry_m` is what `measured_as` says, a carry or where the ball came to rest."""
        return [ball_answer(ball) for ball in self.reading.balls]

    def json(self) -> dict[str, Any]:
        """As `threequarter read --json` prints it, in SI."""
        return reading_answer(self.reading, say)


def _made_of(file: FileBalls, air: Weather | None = None) -> dict[str, Any]:
    """When the balls were hit, and with what in which air, as the commands print it."""
    return {"hit_on": [str(one) for one in file.dates], "made_of": made_of(file, air)}


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class ChartResult(Rows):
    """A distance chart, one row a shot. `answer` holds the chart with its joint draws, what it means and what to hit next."""

    answer: Answer
    file: FileBalls
    recheck: Recheck | None = None
    """Of a file of several days: whether those before the newest still hold."""
    said: Sequence[Message] = ()
    """What was done to bring several days to one air."""

    @property
    def unit(self) -> DistanceUnit:
        """The unit of the file."""
        return self.file.unit

    @property
    def chart(self) -> Chart:
        """The chart: cells, a verdict for each ball, draws of shape (draws, cells)."""
        return self.answer.chart

    def cell(self, club: str, swing: str) -> Cell:
        """One shot, by the names of the file. Raises KeyError where the chart has none."""
        return self.chart.cell(club, swing)

    def picture(self, unit: DistanceUnit | None = None, *, width: int = 760) -> str:
        """The chart as SVG, `width` pixels wide: every ball, and each stock carry as twenty dots. A notebook shows it by itself."""
        from threequarter.paper.pictures.chart_picture import chart_picture

        return chart_picture(self.chart, self.answer.balls, unit or self.unit, width=width)

    def _repr_svg_(self) -> str:
        return self.picture()

    def rows(self) -> list[Row]:
        """One row a shot; intervals hold 90 %, rates are shares of 1."""
        names = (
            "club swing loft_deg balls readings stock_carry_m stock90_m next90_m another_day90_m next_another_day90_m"
            " good_sd_m mishit_rate mishit_rate90 disagree_chance as_hit"
        )
        return [row_of(cell, *names.split()) for cell in self.chart.cells]

    def json(self, unit: DistanceUnit | None = None) -> dict[str, Any]:
        """As `threequarter chart --json` prints it; `unit` as its `--show`."""
        shown = unit or self.unit
        return {
            **chart_answer(self.chart, shown, self.answer.balls),
            **({"recheck": recheck_answer(self.recheck, shown)} if self.recheck else {}),
            **_made_of(self.file),
            "reading": lines((*self.file.said, *self.said), shown),
        }


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class NextResult(Rows):
    """What to hit next, best block first, and whether the chart is good enough."""

    advice: Advice
    unit: DistanceUnit

    @property
    def enough(self) -> bool:
        """Whether the numbers are known as well as promised."""
        return self.advice.enough

    @property
    def stop(self) -> bool:
        """Whether to stop for today."""
        return self.advice.stop

    @property
    def words(self) -> list[str]:
        """The advice, a sentence each."""
        return lines(self.advice.messages, self.unit)

    def rows(self) -> list[Row]:
        """One row a block: shot, balls, why, half of the 90 % range now, after one ball and after the block."""
        names = ("balls", "halfwidth_now_m", "expected_halfwidth_after_m", "halfwidth_after_block_m")
        return [
            row_of(one.cell, "club", "swing") | row_of(one, *names) | {"why": line(one.why, self.unit)}
            for one in self.advice.suggestions
        ]

    def json(self, unit: DistanceUnit | None = None) -> dict[str, Any]:
        """As `threequarter next --json` prints it."""
        return next_answer(self.advice, unit or self.unit)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class DayResult(Rows):
    """The chart on another day, one row a shot. `effects` are what wind, slope and warmth add to the cells `shots`."""

    day: DayChart
    effects: tuple[Effect, ...]
    shots: tuple[int, ...]
    file: FileBalls

    @property
    def unit(self) -> DistanceUnit:
        """The unit of the file."""
        return self.file.unit

    def rows(self) -> list[Row]:
        """One row a shot: stock carry before and after, change, side (right is positive) and run-out."""
        names = "carry_m after90_m next90_m change_m change90_m side_m side90_m run_m run90_m".split()
        return [
            row_of(cell.before, "club", "swing") | {"before_m": cell.before.stock_carry_m} | row_of(cell, *names)
            for cell in self.day.cells
        ]

    def json(self, unit: DistanceUnit | None = None) -> dict[str, Any]:
        """As `threequarter day --json` prints it."""
        shown = unit or self.unit
        return {
            **day_answer(self.day, self.effects, self.shots, shown),
            **_made_of(self.file, self.day.made),
            "reading": lines(self.file.said, shown),
        }


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class ShotResult(Rows):
    """Every shot played to one green, best first; empty where nothing reaches. `day` is the chart as moved to the day."""

    options: tuple[Option, ...]
    green: Green
    level: Level
    day: DayChart
    unit: DistanceUnit

    def rows(self) -> list[Row]:
        """One row an option: expected strokes, how far behind the best, chances as shares of 1."""
        names = (
            "club swing never_hit aim_m expected_strokes strokes90 behind behind90 tied mishit_rate on_green within_3m"
            " in_trouble short carry_m run_m"
        )
        return [row_of(option, *names.split()) for option in self.options]

    def json(self, unit: DistanceUnit | None = None) -> dict[str, Any]:
        """As `threequarter shot --json` prints it, without the lines that repeat what was asked."""
        return shot_answer(self.options, self.green, unit or self.unit, self.level, self.day.notes)


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class RecheckResult(Rows):
    """Whether an old chart still holds: the whole chart in the first row, then each group of shots."""

    recheck: Recheck
    unit: DistanceUnit
    held: str = ""
    """Which days stand against each other, in words."""

    @property
    def verdict(self) -> str:
        """ "holds", "moved" or "not known yet"."""
        return self.recheck.verdict

    def rows(self) -> list[Row]:
        """One row a group: `ratio` 0.03 is 3 % longer."""
        names = ("verdict", "balls", "ratio", "ratio90", "moved_m", "old_carry_m")
        return [
            {"group": line(shift.group), **row_of(shift, *names)}
            for shift in (self.recheck.whole, *self.recheck.groups)
        ]

    def json(self, unit: DistanceUnit | None = None) -> dict[str, Any]:
        """As `threequarter recheck --json` prints it, without the rates it was made for."""
        return recheck_answer(self.recheck, unit or self.unit) | {"held": self.held}


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class FlightResult(Rows):
    """Where launches land, in their order; `bad` are those that could not be flown, each with `id` and `error`."""

    landings: Sequence[Mapping[str, Any]]
    bad: Sequence[Mapping[str, Any]]

    def rows(self) -> list[Row]:
        """One row a landing: `carry_m`, `side_m`, `time_s`, `apex_m`, `land_speed_ms`, `descent_deg`, `land_spin_rpm`."""
        return [dict(landing) for landing in self.landings]

    def json(self) -> list[Row]:
        """As `threequarter fly --json` prints it."""
        return self.rows()


@dataclass(frozen=True, kw_only=True, eq=False, repr=False)
class SwingResult(Rows):
    """The swings of a clip, one row a swing. `track` holds the body points, `found` the measures with their doubt."""

    track: Track
    found: SwingCheck
    answer: Mapping[str, Any]

    def rows(self) -> list[Row]:
        """One row a swing, angles in degrees, times in seconds; None where it was not measured."""
        return [dict(swing) for swing in self.answer["swings"]]

    def json(self) -> dict[str, Any]:
        """As `threequarter swing --json` prints it."""
        return dict(self.answer)


@dataclass(frozen=True, kw_only=True, eq=False)
class CardResult:
    """The pocket card: `pdf` is the whole file."""

    pdf: bytes = field(repr=False)
    pages: int
    unit: DistanceUnit
