"""The calls for Python give what the commands of the same name print, as frozen results with rows."""

import dataclasses
import doctest
import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import click
import nanoarrow
import pytest
from click.testing import CliRunner

import threequarter as tq
from threequarter.demo import BUCKET
from threequarter.library import calls
from threequarter.library.rows import Rows

pytestmark = pytest.mark.slow

DATA = Path(__file__).parents[1] / "data"
BALLS = DATA / "sessions" / "csv" / "s001.csv"


def printed(command: click.Command, *words: object) -> Any:
    """What a command prints with --json."""
    done = CliRunner().invoke(command, [*map(str, words), "--json", "-"], catch_exceptions=False)
    assert done.exit_code == 0, done.output
    return json.loads(done.stdout)


def as_json(answer: Any) -> Any:
    return json.loads(json.dumps(answer))


@pytest.mark.parametrize("file", [BUCKET, BALLS, DATA / "tables" / "t12.txt"], ids=lambda file: file.name)
def test_read_gives_what_the_command_prints_from_a_path(file: Path) -> None:
    from threequarter.cli.read import command

    assert as_json(tq.read(file).json()) == printed(command, file)


def test_the_bytes_of_a_table_are_the_table() -> None:
    assert tq.read(BALLS.read_bytes()).rows() == tq.read(str(BALLS)).rows()


@pytest.mark.parametrize("file", [BUCKET, BALLS], ids=lambda file: file.name)
def test_chart_gives_what_the_command_prints(file: Path) -> None:
    from threequarter.cli.chart import command

    made = tq.chart(file, warm=True)
    told = printed(command, file, "--warm")
    assert as_json(made.json()) == told
    per = {"yd": 0.9144, "m": 1.0}[told["unit"]]
    assert [row["stock_carry_m"] for row in made.rows()] == pytest.approx(
        [cell["stock_carry"] * per for cell in told["cells"]], abs=1e-3
    )
    assert [row["another_day90_high_m"] for row in made.rows()] == pytest.approx(
        [cell["another_day90_high"] * per for cell in told["cells"]], abs=1e-3
    )


def test_a_chart_answers_a_plan_with_shots_never_hit() -> None:
    plan = tq.Plan(
        clubs=(tq.PlannedClub(label="GW 50"),), swings=(tq.PlannedSwing(label="waist"), tq.PlannedSwing(label="knee"))
    )
    assert tq.chart(BUCKET, plan=plan).cell("GW 50", "knee").balls == 0


def test_next_shots_gives_what_the_command_prints() -> None:
    from threequarter.cli.next import command

    advice = tq.next_shots(BUCKET, limits=tq.Limits(minutes=30))
    told = printed(command, BUCKET, "--minutes", 30)
    assert as_json(advice.json()) == told
    assert (advice.stop, advice.enough, advice.words) == (told["stop"], told["enough"], told["words"])


def test_day_gives_what_the_command_prints() -> None:
    from threequarter.cli.day import command

    weather = tq.Weather(temp_c=9.0, altitude_m=600.0, wind_mps=5.0, wind_from_deg=270.0)
    moved = tq.day(BUCKET, weather, made=tq.Weather(temp_c=16.0), ground="firm")
    words = "--temp 9 --altitude 600 --wind 5 --wind-from left --made-temp 16 --ground firm".split()
    assert as_json(moved.json()) == printed(command, BUCKET, *words)


def test_shot_gives_the_options_that_the_command_prints() -> None:
    from threequarter.cli.shot import command

    found = tq.shot(BUCKET, 60 * 0.9144, pin="back", trouble=["short:water"], weather=tq.Weather(temp_c=9.0))
    told = printed(command, BUCKET, *"--to 60 --pin back --trouble short:water --temp 9".split())
    mine = as_json(found.json())
    assert {name: mine[name] for name in mine if name != "notes"} == {
        name: told[name] for name in told if name not in ("notes", "reading")
    }
    assert set(mine["notes"]) < set(told["notes"])


def test_recheck_gives_what_the_command_prints() -> None:
    from threequarter.cli.recheck import command

    found = tq.recheck(BUCKET, BALLS, move=0.1)
    told = printed(command, BUCKET, BALLS, "--move", 10)
    assert as_json(found.json()).items() <= told.items()
    assert found.verdict == told["verdict"]


def test_fly_gives_what_the_command_prints() -> None:
    from threequarter.cli.fly import command

    launches = DATA / "flights" / "launches.json"
    assert tq.fly(json.loads(launches.read_text())[:5]).json() == printed(command, launches)[:5]


@pytest.mark.slow
def test_swing_gives_what_the_command_prints() -> None:
    pytest.importorskip("av")
    pytest.importorskip("ai_edge_litert")
    from threequarter.cli.swing import command

    clip = DATA / "swings" / "o02_waist.mp4"
    found = tq.swing(clip, felt="waist")
    assert as_json(found.json()) == printed(command, clip, "--felt", "waist")
    assert len(found.rows()) == len(found.found.swings) == 1


def test_card_is_the_card_that_the_command_writes(tmp_path: Path) -> None:
    from threequarter.cli.card import command

    made = tq.card(BUCKET, player="Robin Sedge", date="18 Apr 2026", paper="a4", flights=True)
    told = printed(command, BUCKET, "-o", tmp_path / "card.pdf", "--date", "18 Apr 2026", "--paper", "a4", "--flights")
    assert (made.pages, made.unit) == (told["pages"], told["unit"])
    assert len(made.pdf) == pytest.approx(told["bytes"], rel=0.01)


def test_a_file_that_leaves_a_question_open_is_read_and_not_charted() -> None:
    file = DATA / "tables" / "t10.csv"
    balls = tq.read(file)
    assert [question.about for question in balls.questions] == ["unit"]
    assert balls.words == [question["text"] for question in balls.json()["questions"]]
    assert " " in balls.words[0]
    with pytest.raises(tq.UserError, match="--unit"):
        tq.chart(balls)
    assert tq.chart(tq.read(file, tq.ReadOptions(unit="m"))).unit == "m"


def test_a_mistake_is_told_in_words_not_in_codes(tmp_path: Path) -> None:
    with pytest.raises(tq.UserError, match="There is no file"):
        tq.chart(tmp_path / "none.csv")
    with pytest.raises(tq.UserError) as told:
        tq.shot(BUCKET, 60.0, pin="nowhere")
    assert "green.pin_word" not in str(told.value)
    assert "nowhere" in str(told.value)


def test_results_cannot_be_changed() -> None:
    balls = tq.read(BUCKET)
    with pytest.raises(dataclasses.FrozenInstanceError):
        balls.ground = "firm"  # type: ignore[misc]


def test_a_result_becomes_a_data_frame_in_one_call() -> None:
    arrow = pytest.importorskip("pyarrow")
    made = tq.chart(BUCKET)
    assert arrow.table(made).to_pylist() == made.rows()
    assert arrow.table(tq.read(BUCKET)).num_rows == len(tq.read(BUCKET).rows())


def test_a_table_of_another_library_holds_every_kind_of_value() -> None:
    """Independent: Arrow's own C++ library checks the arrays and gives back what went in."""
    arrow = pytest.importorskip("pyarrow")
    rows = [
        {
            "s": "54°",
            "i": 1,
            "f": 1,
            "b": True,
            "none": None,
            "l": ["a", "b"],
            "d": {"x": 1.5, "y": None},
            "m": [{"q": 1}],
        },
        {"s": None, "i": None, "f": 2.5, "b": None, "none": None, "l": None, "d": None, "m": []},
        {
            "s": "",
            "i": -3,
            "f": None,
            "b": False,
            "none": None,
            "l": [],
            "d": {"x": None, "y": "z"},
            "m": [{"q": None}],
        },
    ]
    table = arrow.table(_Given(rows))
    table.validate(full=True)
    assert table.to_pylist() == rows
    assert [str(kind) for kind in table.schema.types[:5]] == ["string", "int64", "double", "bool", "null"]
    assert arrow.table(_Given([])).num_rows == 0


@pytest.mark.parametrize(
    "values", [("x", 1), (True, 1), (object(),)], ids=["text and number", "yes and number", "object"]
)
def test_values_that_no_column_holds_are_refused_not_bent(values: tuple[object, ...]) -> None:
    with pytest.raises(TypeError, match="No Arrow type"):
        _Given([{"a": value} for value in values]).__arrow_c_stream__()


class _Given(Rows):
    def __init__(self, rows: list[dict[str, Any]]) -> None:
        self.given = rows

    def rows(self) -> list[dict[str, Any]]:
        return self.given


def test_a_data_frame_needs_no_extra(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "pyarrow", None)
    made = tq.read(BUCKET)
    batches = list(nanoarrow.ArrayStream(made))
    assert sum(len(batch) for batch in batches) == len(made.rows())


def test_a_result_at_the_prompt_is_one_short_line() -> None:
    assert repr(tq.read(BUCKET)) == f"<ReadResult, {len(tq.read(BUCKET).rows())} rows>"
    assert len(repr(tq.card(BUCKET))) < 80


def test_a_chart_shows_its_picture_in_a_notebook() -> None:
    made = tq.chart(BUCKET)
    assert made._repr_svg_() == made.picture()
    assert made.picture().startswith("<svg")
    assert made.picture("m") != made.picture("yd")


def test_importing_the_package_loads_nothing_of_it() -> None:
    code = "import sys, threequarter; print(*[n for n in sys.modules if n.startswith(('threequarter.', 'numpy', 'typing'))])"
    assert subprocess.run([sys.executable, "-Sc", code], capture_output=True, text=True, env=_source()).stdout == "\n"


@pytest.mark.parametrize("first", ["import threequarter.chart.fit, threequarter.swing.words", "pass"])
def test_a_room_of_the_same_name_neither_hides_a_call_nor_is_hidden(first: str) -> None:
    code = (
        f"{first}\nimport threequarter as tq\n"
        "for call in (tq.chart, tq.swing):\n"
        "    try: call('no-such-file')\n"
        "    except tq.UserError as error: print('told')\n"
        "import threequarter.chart.fit\n"
        "print(threequarter.chart.fit.fit_chart.__name__)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True)
    assert done.stdout.split() == ["told", "told", "fit_chart"], done.stderr


def test_every_public_name_is_there_and_documented() -> None:
    for name in tq.__all__:
        assert getattr(tq, name) is not None
        assert name in dir(tq)
    with pytest.raises(AttributeError, match="no_such_call"):
        tq.no_such_call  # noqa: B018


def test_the_examples_of_the_calls_run() -> None:
    done = doctest.testmod(calls, optionflags=doctest.ELLIPSIS)
    assert done.attempted >= 20
    assert done.failed == 0


def _source() -> dict[str, str]:
    return {"PYTHONPATH": str(Path(tq.__file__).parents[1])}


def test_one_file_of_several_dates_is_rechecked_by_its_newest_day_as_its_chart_tells() -> None:
    rows = [
        f"{held_on},54,waist,{times * carry:.1f}"
        for held_on, times in (("2026-04-18", 1.0), ("2026-06-20", 1.15))
        for carry in (40, 41, 42, 40.5, 41.5, 39.5, 42.5, 41, 40, 42)
    ]
    table = "\n".join(["Date,Club,Swing,Carry (yd)", *rows]).encode()
    found, chart = tq.recheck(table), tq.chart(table)
    assert chart.recheck is not None
    assert found.verdict == chart.recheck.verdict == "moved"
    assert found.rows()[0]["ratio"] == chart.recheck.whole.ratio
    assert found.held.startswith("Compared: 20 Jun 2026 with 18 Apr 2026")
    shots = [row for row in tq.shot(table, 38.0).rows() if not row["never_hit"]]
    assert {(row["club"], row["swing"]) for row in shots} == {("54", "waist")}
    with pytest.raises(tq.UserError, match="one day only"):
        tq.recheck("\n".join(["Date,Club,Swing,Carry (yd)", *rows[:10]]).encode())
