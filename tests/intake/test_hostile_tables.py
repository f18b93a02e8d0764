"""Tables as people keep them, that look like balls and are more or less than that: asked about, or read for what they are.

The tables are invented here; each names one habit. No number reaches a chart unasked that is a sum, a mean or struck out.
"""

from random import Random

import pytest

from threequarter.intake.options import ReadOptions
from threequarter.intake.reading import Reading
from threequarter.intake.tables.read import read_table
from threequarter.language import lines

SHOTS = (("50", "hip", 33), ("50", "chest", 55), ("56", "hip", 28), ("56", "chest", 47), ("60", "hip", 24))
RNG = Random(7)
BALLS = [(club, swing, round(far * RNG.gauss(1, 0.04), 1)) for club, swing, far in SHOTS for _ in range(4)]


def read(head: str, rows: str, **options: object) -> Reading:
    return read_table((head + "\n" + rows).encode(), "x.csv", ReadOptions(**options))  # type: ignore[arg-type]


def asked(reading: Reading) -> set[str]:
    return {question.about for question in reading.questions}


def shots(reading: Reading) -> set[tuple[str, str]]:
    return {(ball.club, ball.swing) for ball in reading.balls}


def rows_of(*cells: str) -> str:
    return "".join(",".join(cells).format(c=c, s=s, d=d, five=5 * round(d / 5)) + "\n" for c, s, d in BALLS)


@pytest.mark.parametrize(
    ("head", "cells"),
    [
        ("Club,Swing,Distanz 1 (m),Distanz 2 (m)", ("{c}", "{s}", "{five}.5", "{d}")),
        ("Club,Swing,Distance (m),Result (m)", ("{c}", "{s}", "{five}", "{d}")),
        ("Club,Swing,Mia (m),Tom (m)", ("{c}", "{s}", "{d}", "1{d}")),
        ("Club,Swing,Before (m),After (m)", ("{c}", "{s}", "{d}", "{d}1")),
    ],
)
def test_two_columns_that_could_be_the_carry_are_a_question(head: str, cells: tuple[str, ...]) -> None:
    assert "carry" in asked(read(head, rows_of(*cells)))


def test_sums_between_the_balls_are_no_balls_though_no_word_says_so() -> None:
    rows = ""
    for i in range(0, len(BALLS), 4):
        four = BALLS[i : i + 4]
        rows += "".join(f"{c},{s},{d}\n" for c, s, d in four) + f",,{sum(d for _c, _s, d in four):.1f}\n"
    reading = read("Club,Swing,Carry (m)", rows)
    assert [ball.distance_m for ball in reading.balls] == [d for _c, _s, d in BALLS]
    assert dict(reading.rows)["mean"] == len(SHOTS)


def test_means_with_their_spread_are_no_balls_until_somebody_says_so() -> None:
    rows = "".join(f"{c},{s},8,{d}.4,2.{i}\n" for i, (c, s, d) in enumerate(SHOTS))
    reading = read("Club,Swing,n,Carry (m),SD", rows)
    assert asked(reading) == {"rows"}
    assert not reading.balls
    assert len(read("Club,Swing,n,Carry (m),SD", rows, ignore=("C", "E")).balls) == len(SHOTS)


@pytest.mark.parametrize("legend", ["1 = waist, 2 = chest", "(1 = waist; 2 = chest)", "1=waist\n2=chest"])
def test_a_legend_says_what_the_labels_stand_for(legend: str) -> None:
    rows = "".join(f"{c},{1 if s == 'hip' else 2},{d}\n" for c, s, d in BALLS)
    for reading in (read(f"{legend}\nClub,Swing,Carry (m)", rows), read("Club,Swing,Carry (m)", f"{rows}\n{legend}")):
        assert {swing for _club, swing in shots(reading)} == {"waist", "chest"}
        assert any("1 = waist" in line for line in lines(reading.plan))


def test_a_legend_of_fractions_keeps_them_whole() -> None:
    rows = "".join(f"{c},{1 if s == 'hip' else 2},{d}\n" for c, s, d in BALLS)
    for legend in ("1 = 1/2; 2 = 3/4", "1 = 1/2\n2 = 3/4"):
        assert {s for _c, s in shots(read("Club,Swing,Carry (m)", f"{rows}\n{legend}"))} == {"1/2", "3/4"}


def test_a_legend_that_makes_one_of_two_labels_is_not_followed() -> None:
    rows = "".join(f"{c},{1 if s == 'hip' else 2},{d}\n" for c, s, d in BALLS)
    assert {s for _c, s in shots(read("1 = waist, 2 = waist\nClub,Swing,Carry (m)", rows))} == {"1", "2"}


def test_colours_by_a_legend_are_clubs_with_their_loft() -> None:
    rows = "".join(f"{dict(zip(('50', '56', '60'), 'rgb', strict=True))[c]},{s},{d}\n" for c, s, d in BALLS)
    reading = read("r = 50, g = 56, b = 60\nClub,Swing,Carry (m)", rows)
    assert {ball.loft_deg for ball in reading.balls} == {50.0, 56.0, 60.0}


def test_a_legend_of_other_things_changes_nothing() -> None:
    reading = read("50 = my favourite\nClub,Swing,Carry (m)", rows_of("{c}", "{s}", "{d}"))
    assert {club for club, _swing in shots(reading)} == {"50", "56", "60"}


@pytest.mark.parametrize("cell", ["~~22.0~~", "2\u03362\u0336.\u03360\u0336"])
def test_a_struck_out_ball_is_kept_but_does_not_count(cell: str) -> None:
    reading = read("Club,Swing,Carry (m)", rows_of("{c}", "{s}", "{d}") + f"50,hip,{cell}\n")
    assert [(ball.distance_m, ball.use) for ball in reading.balls][-1] == (22.0, False)


def test_a_struck_out_cell_of_a_web_table_does_not_count() -> None:
    body = "".join(f"<tr><td>{c}</td><td>{s}</td><td>{d}</td></tr>" for c, s, d in BALLS[:8])
    page = f"<table><tr><th>Club</th><th>Swing</th><th>Carry (m)</th></tr>{body}<tr><td>50</td><td>hip</td><td><s>22</s></td></tr></table>"
    assert [ball.use for ball in read_table(page.encode(), "x.html").balls] == [True] * 8 + [False]


@pytest.mark.parametrize(("twins", "carry_m"), [("first", 55.0), ("last", 58.0), ("middle", 56.5)])
@pytest.mark.parametrize("cell", ["55-58", "55/58", "55 to 58 m"])
def test_two_numbers_in_a_cell_are_asked_about_and_read_as_told(cell: str, twins: str, carry_m: float) -> None:
    rows = rows_of("{c}", "{s}", "{d}") + f"50,chest,{cell}\n"
    assert asked(read("Club,Swing,Carry (m)", rows)) == {"carry"}
    told = read("Club,Swing,Carry (m)", rows, twins=twins)
    assert not told.questions
    assert told.balls[-1].distance_m == pytest.approx(carry_m)


def test_bars_between_cells_are_no_frame_where_only_blank_cells_stand_first() -> None:
    rows = "".join(f"{c if i % 4 == 0 else ''}|{s if i % 4 == 0 else ''}|{d}\n" for i, (c, s, d) in enumerate(BALLS))
    reading = read("Club|Swing|Carry (m)", rows)
    assert [(ball.club, ball.swing, ball.distance_m) for ball in reading.balls] == BALLS


def test_at_most_three_questions_at_once_and_no_ball_before_they_are_answered() -> None:
    rows = "".join(f"{i % 3};{i % 2 + 1};{d};{d + 3}\n" for i, (_c, _s, d) in enumerate(BALLS))
    reading = read("q;w;e;r", rows)
    assert 1 <= len(reading.questions) <= 3


def test_numbers_of_a_course_are_no_balls_unasked() -> None:
    rows = "".join(f"{hole},{3 + hole % 3},{60 + 7 * hole % 50},{75 + 11 * hole % 50}\n" for hole in range(1, 19))
    reading = read("Hole,Par,To front,To pin", rows)
    assert reading.error or "carry" in asked(reading)


GRID = "Club,waist,chest\n50,41,55\n54,37,50\n58,33,45\n"


def test_one_number_for_each_club_and_swing_may_be_a_mean_until_somebody_says_it_is_a_ball() -> None:
    long = "50,waist,41\n50,chest,55\n54,waist,37\n54,chest,50\n"
    for head, rows in (("Gaps in metres", GRID), ("Club,Swing,Carry (m)", long)):
        assert asked(read(head, rows)) == {"rows"}
        assert not read(head, rows).balls
        assert read(head, rows, each="ball").balls
        assert "means" in str(read(head, rows, each="mean").error)
    assert not asked(read("Club,Swing,Carry (m)", long + "50,waist,42\n"))


@pytest.mark.parametrize(
    ("line", "player", "club"),
    [
        ("Player: Ada Quill, range ball", "Ada Quill", "54"),
        ("Player: Ada Quill,18 April 2026", "Ada Quill", "54"),
        ("Coach: Bo Reed,Player: Ada Quill", "Ada Quill", "54"),
        ("Player:,Ada Quill,Club:,60", "Ada Quill", "60"),
        ("Player: Ada Quill,Club: 60", "Ada Quill", "60"),
        ("Name,Ada Quill,,Date,2026-04-18", "Ada Quill", "54"),
    ],
)
def test_cells_of_a_line_above_tell_each_for_itself(line: str, player: str, club: str) -> None:
    own = club == "54"
    rows = "".join(f"{'54,' if own else ''}hip,{far}\n" for far in (40.5, 41.2, 39.8, 42.0))
    reading = read(f"{line}\n{'Club,' if own else ''}Swing,Carry (m)", rows)
    assert {(ball.player, ball.club) for ball in reading.balls} == {(player, club)}


def test_words_with_commas_above_are_no_headings() -> None:
    rows = "".join(f"{c},{s},{d},{d + 3},{i % 7 / 10}\n" for i, (c, s, d) in enumerate(BALLS))
    reading = read("Range day, 14 C, light wind\nT4,u,xx (yd),Thing (yd),Nerk (yd)", rows)
    assert [column.heading for column in reading.columns][:3] == ["T4", "u", "xx (yd)"]
    assert asked(reading) >= {"carry", "offline"}


def test_a_key_and_its_value_above_are_no_headings_and_words_after_a_name_no_part_of_it() -> None:
    rows = "".join(f"{c};{s};{d}\n" for c, s, d in BALLS)
    for line, player in (
        ("Σημείωση του;Ada Quill;;;;", None),
        ("Player: Ada Quill. All in metres. Do not share.", "Ada Quill"),
    ):
        reading = read_table(f"{line}\nNo;Club;Swing;Carry (m);Side;Note\n".encode() + _numbered(rows), "x.csv")
        assert [column.heading for column in reading.columns][:3] == ["No", "Club", "Swing"]
        assert {ball.player for ball in reading.balls} == {player}


def _numbered(rows: str) -> bytes:
    return "".join(f"{i};{line};;\n" for i, line in enumerate(rows.splitlines(), 1)).encode()


def test_a_count_after_the_sum_is_no_ball() -> None:
    total = sum(d for _c, _s, d in BALLS)
    sums = "".join(f"{word},,,{number}\n" for word, number in (("TOTAL", f"{total:.1f}"), ("COUNT", len(BALLS))))
    assert len(read("When,Club,Swing,Carry (m)", rows_of("", "{c}", "{s}", "{d}") + sums).balls) == len(BALLS)


def test_a_direction_in_its_own_column_takes_the_number_headed_deviation() -> None:
    rows = "".join(f"{c},{s},{d},{i % 4},{'left' if i % 2 else 'right'}\n" for i, (c, s, d) in enumerate(BALLS))
    reading = read("Club,Swing,Carry (m),Deviation (m),Side", rows)
    assert [ball.offline_m for ball in reading.balls][:4] == [0.0, -1.0, 2.0, -3.0]


@pytest.mark.parametrize(("words", "sides"), [(("L", "Q"), [-1.0, 1.0]), (("Ж", "Q"), None)])
def test_an_unknown_word_for_a_side_is_the_other_of_a_known_one_or_asked(
    words: tuple[str, str], sides: list[float] | None
) -> None:
    rows = "".join(f"{c},{s},{d},1 {words[i % 2]}\n" for i, (c, s, d) in enumerate(BALLS))
    reading = read("Club,Swing,Carry (m),Side (m)", rows)
    assert "offline" in asked(reading) if sides is None else [ball.offline_m for ball in reading.balls][:2] == sides


def test_children_across_with_club_and_swing_in_a_line_of_their_own() -> None:
    block = "Club,52,Swing,{swing},,\nBall,Ebba,Jory,Wren\n1,{a},21,13\n2,14,20,11\n3,18,22,14\n"
    text = block.format(swing="hip to hip", a=15) + "\n" + block.format(swing="chest to chest", a=16)
    reading = read_table(f"Squad. Carry in metres\n\n{text}".encode(), "x.csv")
    told = {(ball.player, ball.club, ball.swing) for ball in reading.balls}
    assert told == {(who, "52", how) for who in ("Ebba", "Jory", "Wren") for how in ("hip to hip", "chest to chest")}
