"""The commands as a user runs them: answers, exit codes, one clear line for a mistake."""

import fcntl
import json
import os
import re
import signal
import subprocess
import sys
import termios
import time
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

ROOT = Path(__file__).parents[2]
DATA = ROOT / "tests" / "data"
BALLS = DATA / "sessions" / "csv" / "s001.csv"


def run(*words: str, stdin: str = "", **more: object) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "threequarter", *words], input=stdin, capture_output=True, text=True, timeout=300, **more
    )  # type: ignore[call-overload,no-any-return]


def mistake(*words: str, stdin: str = "") -> str:
    done = run(*words, stdin=stdin)
    assert done.returncode == 2, done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.strip().splitlines()) == 1
    return done.stderr


def test_help_lists_the_commands_and_each_has_an_example() -> None:
    listed = run("--help").stdout
    for name in ("card", "chart", "demo", "doctor", "next", "note", "read", "serve"):
        assert name in listed
        assert "Example: threequarter" in " ".join(run(name, "--help").stdout.split())


def test_read_prints_the_contract() -> None:
    done = run("read", str(DATA / "tables" / "t12.txt"), "--json", "-")
    answer = json.loads(done.stdout)
    assert done.returncode == 0
    assert {"balls", "set_aside", "questions", "error", "plan", "unit"} <= set(answer)
    assert answer["balls"][0]["carry_m"] == pytest.approx(35.7 * 0.9144, abs=1e-3)


def test_read_exits_0_with_a_question_and_2_with_an_error_printing_both_times() -> None:
    asked = run("read", str(DATA / "tables" / "t10.csv"), "--json", "-")
    assert asked.returncode == 0
    assert json.loads(asked.stdout)["questions"][0]["about"] == "unit"
    refused = run("read", str(DATA / "tables" / "t08.csv"), "--json", "-")
    assert refused.returncode == 2
    assert json.loads(refused.stdout)["error"]


def test_chart_on_an_open_question_names_the_option() -> None:
    assert "--unit" in mistake("chart", str(DATA / "tables" / "t10.csv"))
    assert run("chart", str(DATA / "tables" / "t10.csv"), "--unit", "m").returncode == 0


def test_chart_and_next_print_the_contract() -> None:
    chart = json.loads(run("chart", str(BALLS), "--json", "-").stdout)
    assert chart["unit"] == "yd"
    assert len(chart["cells"]) == 12
    need = {
        "club",
        "swing",
        "stock_carry",
        "interval90_low",
        "interval90_high",
        "predictive90_low",
        "predictive90_high",
    }
    assert all(need <= set(cell) for cell in chart["cells"])
    following = json.loads(run("next", str(BALLS), "--json", "-").stdout)
    assert {"next", "stop", "goal"} <= set(following)
    assert {"club", "swing", "why", "expected_halfwidth_after"} <= set(following["next"][0])


def test_metres_when_asked_for() -> None:
    yards = json.loads(run("chart", str(BALLS), "--json", "-").stdout)
    metres = json.loads(run("chart", str(BALLS), "--show", "m", "--json", "-").stdout)
    assert metres["unit"] == "m"
    assert metres["cells"][0]["stock_carry"] == pytest.approx(yards["cells"][0]["stock_carry"] * 0.9144, abs=2e-3)


def test_note_reads_words_and_standard_input() -> None:
    words = json.loads(run("note", "54 waist 51 53 fat 38", "--unit", "yd", "--json", "-").stdout)
    piped = json.loads(run("note", "-", "--unit", "yd", "--json", "-", stdin="54 waist 51 53 fat 38\n").stdout)
    assert [ball["strike"] for ball in words["balls"]] == [None, None, "fat"]
    assert [b["carry_m"] for b in words["balls"]] == [b["carry_m"] for b in piped["balls"]]


def test_card_and_demo_write_whole_files(tmp_path: Path) -> None:
    card = tmp_path / "card.pdf"
    assert run("card", str(BALLS), "-o", str(card)).returncode == 0
    assert card.read_bytes().startswith(b"%PDF")
    done = run("demo", "--out", str(tmp_path / "demo"))
    assert done.returncode == 0
    for part in ("invented", "3 days, 18 Apr 2026 to 20 Jun 2026, range ball", "The chart still holds."):
        assert part in done.stdout
    told = re.search(r'What the recheck says: "(.+?)"', (ROOT / "README.md").read_text(encoding="utf-8"))
    assert told
    assert told[1] in done.stdout
    made = {path.name for path in (tmp_path / "demo").iterdir()}
    assert made == {"card.pdf", "chart.svg", "bucket.csv", "lesson.txt", "recheck.txt"}


def test_mistakes_are_one_clear_line(tmp_path: Path) -> None:
    assert "There is no file" in mistake("chart", str(tmp_path / "none.csv"))
    assert "is a folder" in mistake("read", str(tmp_path))
    assert "No such command" in mistake("fairway")
    assert "is a folder" in mistake("card", str(BALLS), "-o", str(tmp_path))
    assert "cannot be written" in mistake("card", str(BALLS), "-o", str(tmp_path / "none" / "card.pdf"))
    lone = tmp_path / "warm.csv"
    lone.write_text("Club,Swing,Carry (yd),Note\n54,waist,50,warm-up\n")
    assert "No balls to chart" in mistake("chart", str(lone))


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_a_full_disk_leaves_the_old_card_as_it_was(tmp_path: Path) -> None:
    card = tmp_path / "card.pdf"
    card.write_bytes(b"old")
    script = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (4096, 4096));"
        "import signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN);"
        f"sys.argv = ['threequarter', 'card', {str(BALLS)!r}, '-o', {str(card)!r}];"
        "from threequarter.cli import main; main()"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=300, check=False)
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert card.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [card]


def waiting_in(pipe: int) -> int:
    """How many bytes of a pipe nobody has read."""
    return int.from_bytes(fcntl.ioctl(pipe, termios.FIONREAD, bytes(4)), sys.byteorder)


def test_ctrl_c_leaves_nothing_half_written(tmp_path: Path) -> None:
    child = subprocess.Popen(
        [sys.executable, "-m", "threequarter", "note", "-", "--unit", "yd", "--json", str(tmp_path / "a.json")],
        stdin=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        preexec_fn=lambda: signal.signal(
            signal.SIGINT, signal.SIG_DFL
        ),  # tests run in the background may have it ignored
    )
    assert child.stdin is not None
    child.stdin.write("64 waist 40\n")
    child.stdin.flush()
    while waiting_in(child.stdin.fileno()):  # until the command reads, whatever else this machine does
        time.sleep(0.05)
    os.kill(child.pid, signal.SIGINT)
    _, said = child.communicate(timeout=300)
    assert child.returncode == 130
    assert "Traceback" not in said
    assert list(tmp_path.iterdir()) == []


def test_plan_says_how_many_balls_before_the_first() -> None:
    answer = json.loads(run("plan", "--clubs", "50,56", "--swings", "waist,full", "--json", "-").stdout)
    assert answer["balls"] == answer["warm_up"] + sum(cell["balls"] for cell in answer["cells"])
    assert {(c["club"], c["swing"]) for c in answer["cells"]} == {
        (c, s) for c in ("50", "56") for s in ("waist", "full")
    }
    assert "outside 1 to 30 %" in mistake("plan", "--spread", "90")


def test_fly_answers_the_good_and_names_the_bad(tmp_path: Path) -> None:
    launches = tmp_path / "launches.json"
    good = {"id": 1, "speed_ms": 25, "launch_deg": 30, "spin_rpm": 7000}
    launches.write_text(json.dumps([good, {**good, "id": 2, "speed_ms": 0}]))
    done = run("fly", str(launches), "--json", "-")
    assert done.returncode == 0
    assert [row["id"] for row in json.loads(done.stdout)] == [1]
    assert "launch 2: speed_ms must be 1 to 100 m/s, not 0" in done.stderr
    launches.write_text("{")
    assert "is not JSON" in mistake("fly", str(launches))


def test_the_doctor_finds_this_installation_well(tmp_path: Path) -> None:
    done = run("doctor", "--data", str(tmp_path), "--json", "-")
    assert done.returncode == 0, done.stdout
    assert json.loads(done.stdout)["well"] is True


def test_day_moves_the_chart_and_writes_its_card(tmp_path: Path) -> None:
    card = tmp_path / "day.pdf"
    done = run(
        "day",
        str(BALLS),
        "--temp",
        "9",
        "--altitude",
        "600",
        "--wind",
        "5",
        "--wind-from",
        "ahead",
        "--ground",
        "firm",
        "--card",
        str(card),
        "--json",
        "-",
    )
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    far = max(answer["cells"], key=lambda cell: cell["before"]["carry"])
    assert answer["unit"] == "yd"
    assert far["after"]["carry"] < far["before"]["carry"]
    assert far["after"]["interval90"][0] < far["after"]["carry"] < far["after"]["interval90"][1]
    assert answer["ground"] == "firm"
    assert card.read_bytes().startswith(b"%PDF")
    again = tmp_path / "again.pdf"
    run(
        "day",
        str(BALLS),
        "--temp",
        "9",
        "--altitude",
        "600",
        "--wind",
        "5",
        "--wind-from",
        "ahead",
        "--ground",
        "firm",
        "--card",
        str(again),
    )
    assert again.read_bytes() == card.read_bytes()


def test_weather_is_typed_in_any_unit_and_said_in_the_units_asked_for() -> None:
    american = ["--height", "ft", "--speed", "mph", "--temperature", "F"]
    said = run(
        "day", str(BALLS), "--temp", "50", "--altitude", "2000", "--wind", "10", "--wind-from", "ahead", *american
    ).stdout
    assert "50 °F, 2000 ft up, wind 10 mph from ahead" in said
    assert "20 °F colder" in said
    mixed = run(
        "day",
        str(BALLS),
        "--temp",
        "50F",
        "--altitude",
        "2000 ft",
        "--wind",
        "10mph",
        "--wind-from",
        "ahead",
        "--json",
        "-",
    ).stdout
    assert json.loads(mixed)["day"] == "10 °C, 609.6 m up, wind 4.4704 m/s from ahead"


def test_weather_that_cannot_be_is_one_clear_line() -> None:
    assert "60" in mistake("day", str(BALLS), "--wind", "60")
    assert "°C, °F" in mistake("day", str(BALLS), "--temp", "48K")
    assert "two pressures" in mistake("day", str(BALLS), "--pressure", "950", "--sea-level-pressure", "1013")
    assert "clockwise" in mistake("day", str(BALLS), "--wind", "5", "--wind-from", "up")
    assert "but no wind" in mistake("day", str(BALLS), "--wind-from", "left")
    assert "--day-weather" in mistake("chart", str(BALLS), "--day-weather", "temp 9")


def test_a_chart_from_range_balls_says_their_factor(tmp_path: Path) -> None:
    pairs = tmp_path / "pairs.txt"
    pairs.write_text("range 54 chest 47 48 46\nown 54 chest 52 53 51\n")
    said = run("chart", str(BALLS), "--range-balls", str(pairs)).stdout
    assert "as far as your own" in said


def test_shot_wedges_practice_recheck_and_spread_answer() -> None:
    shot = json.loads(
        run(
            "shot",
            str(BALLS),
            "--to",
            "62",
            "--pin",
            "back",
            "--ground",
            "firm",
            "--wind",
            "4",
            "--wind-from",
            "left",
            "--json",
            "-",
        ).stdout
    )
    assert {"club", "swing", "expected_strokes", "chances"} <= set(shot["options"][0])
    assert any("4.3a" in note for note in shot["notes"])
    assert json.loads(run("shot", str(BALLS), "--to", "162", "--json", "-").stdout)["options"] == []
    wedges = json.loads(run("wedges", str(BALLS), "--most", "3", "--json", "-").stdout)
    assert len(wedges["best"]) == 3
    practice = json.loads(run("practice", str(BALLS), "--balls", "6", "--seed", "2", "--json", "-").stdout)
    assert len(practice["targets"]) == 6
    scored = json.loads(run("practice", str(BALLS), "--hit", "60:61,75:70", "--json", "-").stdout)
    assert scored["balls"] == 2
    held = json.loads(run("recheck", str(BALLS), str(BALLS), "--json", "-").stdout)
    assert held["verdict"] == "holds"
    assert "film the same balls" in " ".join(json.loads(run("spread", str(BALLS), "--json", "-").stdout)["words"])


def test_their_mistakes_are_one_clear_line(tmp_path: Path) -> None:
    assert "front, middle, back" in mistake("shot", str(BALLS), "--to", "60", "--pin", "moon")
    assert "4 m deep" in mistake("shot", str(BALLS), "--to", "60", "--green-depth", "0")
    assert "like 43:41" in mistake("practice", str(BALLS), "--hit", "43")
    assert "Call a number inside that" in mistake("practice", str(BALLS), "--hit", "300:290")
    assert "46,50,54,58" in mistake("wedges", str(BALLS), "--have", "sand")
    swings = tmp_path / "s.json"
    swings.write_text('{"swings": [{"lead_arm_top_deg": 70, "tempo_ratio": 2}]}')
    assert "balls but 1 swings" in mistake("spread", str(BALLS), "--swings", str(swings))
