"""The calls. Each takes a file (a path, the bytes of a table, or what `read` gave) and asks the rooms that pages and commands ask."""

from collections.abc import Callable, Mapping, Sequence
from functools import wraps
from os import PathLike
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

from threequarter.app.file_days import air_of, ball_of, chart_of, dates_of, made_in, recheck_of, weather_of
from threequarter.chart.day import effects, move_chart, shown_shots
from threequarter.chart.next_ball import Limits
from threequarter.choice.strokes import Level
from threequarter.choice.today import LieNow
from threequarter.flight.ground import Firmness
from threequarter.flight.weather import Weather
from threequarter.golf.errors import UserError
from threequarter.golf.plan import Plan
from threequarter.golf.units import DistanceUnit
from threequarter.intake.load import read_any
from threequarter.intake.options import ReadOptions
from threequarter.intake.safe_reading import read_safely
from threequarter.language import say, say_error
from threequarter.language.measures import units_in_use
from threequarter.library.results import (
    CardResult,
    ChartResult,
    DayResult,
    FlightResult,
    NextResult,
    ReadResult,
    RecheckResult,
    ShotResult,
    SwingResult,
)
from threequarter.measurement.carry import Ground
from threequarter.paper.card import SheetSize

Source = str | PathLike[str] | bytes | ReadResult
P = ParamSpec("P")
R = TypeVar("R")
UNKNOWN = Weather()
NO_LIMITS = Limits()


def _in_words(call: Callable[P, R]) -> Callable[P, R]:
    """A call whose errors come in words, as a reader gets them from a page or a command."""

    @wraps(call)
    def said(*args: P.args, **kwargs: P.kwargs) -> R:
        try:
            return call(*args, **kwargs)
        except UserError as error:
            raise type(error)(say_error(error)) from error

    return said


@_in_words
def read(
    file: Source, options: ReadOptions | None = None, *, ground: Ground | None = None, name: str = "table.csv"
) -> ReadResult:
    """The balls of a table or a text file of notes, and how it was read.

    `options` answers what the file leaves open (`questions`). `ground` is where balls measured at rest ran out (None: as
    the file tells, else a normal one). Bytes are read
    as a table; the end of `name` tells their kind (.csv, .xlsx). Distances in metres.

    Raises UserError where nothing can be read. Example:

    >>> import threequarter as tq
    >>> balls = tq.read(b"club,swing,carry (m)\\n54,waist,41\\n54,waist,43\\n54,chest,52\\n")
    >>> [(ball["club"], ball["swing"], ball["carry_m"]) for ball in balls.rows()]
    [('54', 'waist', 41.0), ('54', 'waist', 43.0), ('54', 'chest', 52.0)]
    """
    if isinstance(file, ReadResult):
        return file
    chosen = options or ReadOptions()
    reading = read_safely(file, name, "table", chosen) if isinstance(file, bytes) else read_any(Path(file), chosen)
    if reading.error:
        raise UserError(reading.error)
    return ReadResult(reading=reading, ground=ground)


@_in_words
def chart(balls: Source, *, plan: Plan | None = None, warm: bool | None = None) -> ChartResult:
    """The distance chart: for each shot the stock carry with its 90 % interval, in metres.

    `plan` names the shots to chart, also those never hit; without one it is the shots of the file. `warm`: whether the player had
    hit balls before these (None: not known).

    Raises UserError for a file that cannot be read or leaves a question open, and for too few balls. Example:

    >>> import threequarter as tq
    >>> from threequarter.demo import BUCKET
    >>> cell = tq.chart(BUCKET).cell("GW 50", "chest")
    >>> cell.balls, cell.stock90_m.low < cell.stock_carry_m < cell.stock90_m.high
    (6, True)
    """
    found = read(balls).balls()
    pooled = chart_of(found, plan, warm=warm)
    return ChartResult(answer=pooled.answer, file=found, recheck=pooled.recheck, said=tuple(pooled.said))


@_in_words
def next_shots(balls: Source, *, plan: Plan | None = None, limits: Limits = NO_LIMITS) -> NextResult:
    """What to hit next, best block of balls first, and whether the chart is good enough.

    `limits`: balls or minutes of the session, and whether a child hits. Half ranges in metres.

    Raises UserError as `chart`. Example:

    >>> import threequarter as tq
    >>> from threequarter.demo import BUCKET
    >>> advice = tq.next_shots(BUCKET, limits=tq.Limits(balls=20))
    >>> advice.stop  # more balls than that were hit
    True
    """
    found = read(balls).balls()
    return NextResult(advice=chart_of(found, plan, limits=limits).answer.advice, unit=found.unit)


@_in_words
def day(
    balls: Source,
    weather: Weather,
    *,
    made: Weather = UNKNOWN,
    ground: Firmness = "normal",
    plan: Plan | None = None,
) -> DayResult:
    """The chart moved from the air it was `made` in to the `weather` of another day, whose greens are `ground`.

    Metres; `side_m` is right of the line where positive. What `made` does not tell is taken from the file; what neither knows
    widens the intervals.

    Raises UserError as `chart`; `Weather` raises it for values out of range. Example:

    >>> import threequarter as tq
    >>> from threequarter.demo import BUCKET
    >>> cold = tq.day(BUCKET, tq.Weather(temp_c=3.0, wind_mps=6.0, wind_from_deg=0.0), made=tq.Weather(temp_c=16.0, wind_mps=0.0))
    >>> all(row["change_m"] < 0 for row in cold.rows())
    True
    """
    file = read(balls).balls()
    asked = chart_of(file, plan, held=False).answer
    moved = move_chart(asked.chart, asked.balls, made_in(file, made), weather, firmness=ground)
    shots = shown_shots(asked.chart)
    found = effects(asked.chart, asked.balls, weather, shots, units=units_in_use())
    return DayResult(day=moved, effects=found, shots=tuple(shots), file=file)


@_in_words
def shot(
    balls: Source,
    to_m: float,
    *,
    pin: str = "middle",
    depth_m: float | None = None,
    width_m: float | None = None,
    trouble: Sequence[str] = (),
    lie: LieNow = "fairway",
    level: Level = "club",
    weather: Weather = UNKNOWN,
    made: Weather = UNKNOWN,
    ground: Firmness = "normal",
    plan: Plan | None = None,
    seed: int = 1,
) -> ShotResult:
    """Every shot of the chart played to a flag `to_m` metres away, best first; for practice and planning.

    `pin`: front, middle, back, or metres from the front edge. `trouble`: short, long, left or right, with :sand, :water or :rough.
    `level` is the play behind expected strokes. `weather` and `ground` are those of the day, `made` that of the chart.

    Raises UserError as `chart`, and for a green or a distance out of range. Example:

    >>> import threequarter as tq
    >>> from threequarter.demo import BUCKET
    >>> best = tq.shot(BUCKET, 60.0, pin="back", trouble=["short:water"]).options[0]
    >>> 1 < best.expected_strokes < 4
    True
    """
    import numpy as np

    from threequarter.choice.green_words import green_of
    from threequarter.choice.shot import choose
    from threequarter.choice.today import shot_models

    file = read(balls).balls()
    green = green_of(to_m, pin=pin, depth_m=depth_m, width_m=width_m, trouble=trouble)
    asked = chart_of(file, plan, held=False).answer
    models, moved = shot_models(
        asked.chart, asked.balls, made_in(file, made), weather, firmness=ground, lie=lie, to_m=to_m
    )
    options = choose(models, green, level=level, rng=np.random.default_rng(seed))
    return ShotResult(options=options, green=green, level=level, day=moved, unit=file.unit)


@_in_words
def recheck(old: Source, new: Source | None = None, *, move: float = 0.08, plan: Plan | None = None) -> RecheckResult:
    """Whether the chart of `old` still holds after the few balls of `new`; without `new` the newest day of `old` against those before.

    `move`: the change that must not be missed (0.08: 8 %). Files that tell their dates go by them: the newer against the older.

    Raises UserError as `chart`, and without `new` for a file of one day. Example:

    >>> import threequarter as tq
    >>> from threequarter.demo import BUCKET
    >>> tq.recheck(BUCKET, BUCKET).verdict
    'holds'
    """
    before = read(old)
    found, held = recheck_of(before.balls(), None if new is None else read(new).balls(), plan, move)
    return RecheckResult(recheck=found, held=held, unit=before.unit)


@_in_words
def fly(launches: Sequence[Mapping[str, Any]], model: str | None = None) -> FlightResult:
    """Flights from launches: `speed_ms`, `launch_deg` and `spin_rpm` are needed; `azimuth_deg`, `axis_deg`, `wind_ms`,
    `wind_to_deg`, `temp_c`, `rh` and `altitude_m` have the usual values, `id` is the place in the list.

    Launches that cannot be are told in `bad`, the others answered. `model`: see docs/flight.md (None: the one believed for wedges).

    Raises UserError for no such model. Example:

    >>> import threequarter as tq
    >>> flown = tq.fly([{"speed_ms": 30.0, "launch_deg": 30.0, "spin_rpm": 7000.0}, {"speed_ms": 30.0}])
    >>> len(flown.rows()), flown.bad[0]["error"]
    (1, 'launch_deg is missing')
    """
    from threequarter.flight.launches import fly_records

    landings, bad = fly_records(launches, model)
    bad = [row | {"error": say(row["error"])} for row in bad]
    return FlightResult(landings=tuple(landings), bad=tuple(bad))


@_in_words
def swing(
    clip: str | PathLike[str],
    *,
    felt: str | None = None,
    slower: float | None = None,
    progress: Callable[[float], None] | None = None,
) -> SwingResult:
    """The swings of a face-on clip: how far the arm went back and through (degrees), tempo, hand speed, each with its doubt.

    `felt` is what was meant, one for all or swing by swing ("chest,waist"); `slower`: so many times slower than life the clip is
    (None: found from the swings). `progress` is told the share done, 0 to 1. Needs the video extra.

    Raises UserError where the clip cannot be read or the extra is missing. Example:

    >>> import threequarter as tq
    >>> tq.swing("no-such-clip.mp4")
    Traceback (most recent call last):
    threequarter.golf.errors.UserError: ...
    """
    from threequarter.app import clips

    track, found = clips.look_at(Path(clip), progress, slower=slower)
    return SwingResult(track=track, found=found, answer=clips.answer_of(track, found, felt, with_sheets=False))


@_in_words
def card(
    balls: Source,
    *,
    player: str = "",
    date: str | None = None,
    ball: str = "",
    air: str = "",
    paper: SheetSize = "pocket",
    unit: DistanceUnit | None = None,
    flights: bool = False,
    plan: Plan | None = None,
) -> CardResult:
    """The pocket card as a PDF, in `unit` (None: that of the file). `date` as it is to be read (None: when the balls were hit, as
    the file tells); `ball` and `air` in words, else the file's. `paper`: one card of pocket size (74 x 105 mm), or four on "a4" or "letter". `flights` adds a side with the flights.

    Raises UserError as `chart`. Example:

    >>> import threequarter as tq
    >>> from threequarter.demo import BUCKET
    >>> made = tq.card(BUCKET, player="Robin Sedge", date="18 Apr 2026")
    >>> made.pdf[:5], made.pages >= 2  # keep it with Path("card.pdf").write_bytes(made.pdf)
    (b'%PDF-', True)
    """
    from threequarter.paper.card import CardDetails, pocket_card
    from threequarter.paper.typesetting import count_pages

    file = read(balls).balls()
    asked = chart_of(file, plan, held=False).answer
    names = {one.player for one in file.balls if one.player}
    details = CardDetails(
        player=player or (names.pop() if len(names) == 1 else ""),
        date=dates_of(file) if date is None else date,
        ball=ball or ball_of(file),
        air=air or air_of(file, brief=True),
    )
    shown = unit or file.unit
    picture = ""
    if flights:
        from threequarter.chart.in_air import chart_in_air
        from threequarter.paper.pictures.flight_picture import flight_picture

        picture = flight_picture(chart_in_air(asked.chart, asked.balls, weather_of(file)), shown, width=380)
    pdf = pocket_card(asked.chart, details, unit=shown, sheet=paper, flights=picture)
    return CardResult(pdf=pdf, pages=count_pages(pdf), unit=shown)
