"""Layouts that people bring whom nobody here has met: what the shape of a table tells, whatever language its words are in."""

import pytest

from threequarter.golf.units import YARD_M
from threequarter.intake.reading import Reading
from threequarter.intake.tables.decode import decode
from threequarter.intake.tables.read import read_table


def read(text: str, encoding: str = "utf-8") -> Reading:
    return read_table(text.encode(encoding), "balls.csv")


def shots(reading: Reading) -> list[tuple[str, str, float]]:
    return [(ball.club, ball.swing, round(ball.distance_m, 3)) for ball in reading.balls]


def asked(reading: Reading) -> set[str]:
    return {question.about for question in reading.questions}


def test_clubs_under_swings_are_headings_and_no_balls() -> None:
    reading = read(
        "Luftlängd, meter\nSlag;hemma;hemma;borta;borta\nKlubba;52;58;52;58\n1;32,1;25,4;47,6;39,5\n2;33,1;26,2;48,6;40,3\n3;31,8;26,4;46,4;42,6\n"
    )
    assert shots(reading)[:4] == [
        ("52", "hemma", 32.1),
        ("58", "hemma", 25.4),
        ("52", "borta", 47.6),
        ("58", "borta", 39.5),
    ]
    assert len(reading.balls) == 12


def test_a_column_that_counts_the_balls_is_no_shot_and_each_block_has_its_club() -> None:
    block = "No.;waist;chest\n1;36,2;52,4\n2;36,9;47,6\n3;35,1;53,3\n"
    reading = read(f"Carry in metres\n\nClub: 48\n{block}\nClub: 54\n{block.replace('3', '2')}")
    assert {ball.club for ball in reading.balls} == {"48", "54"}
    assert len(reading.balls) == 12
    assert min(ball.distance_m for ball in reading.balls) > 20


def test_cells_that_name_a_club_are_no_carries_though_a_number_stands_in_them() -> None:
    rows = "".join(
        f"{i};PW 46;{hour} o'clock;{d + 4};{d};{d / 8:.1f}\n"
        for i, (hour, d) in enumerate([(8, 34.7), (8, 36.8), (9, 44.0), (9, 42.5), (8, 33.3), (10, 58.1)], 1)
    )
    reading = read(f"P1;P2;P3;P4;P5;P6\n{rows}")
    assert not reading.balls
    assert "carry" in asked(reading)


def test_off_a_target_that_changes_from_shot_to_shot_is_no_side() -> None:
    rows = "".join(
        f"46;{s};{t};{c};{c - t:.1f}\n"
        for s, t, c in [
            ("short", 35, 34.3),
            ("short", 35, 33.5),
            ("short", 35, 36.1),
            ("mid", 45, 50.3),
            ("mid", 45, 44.8),
            ("mid", 45, 46.2),
        ]
    )
    reading = read(f"Club;Swing;Target carry (m);Carry (m);Off target (m)\n{rows}")
    assert len(reading.balls) == 6
    assert all(ball.offline_m is None for ball in reading.balls)


@pytest.mark.parametrize(
    ("line", "factor"),
    [
        ("Délka letu v metrech", 1.0),
        ("Kaikki lentomatkoja, metriä", 1.0),
        ("Lot piłki w metrach", 1.0),
        ("Πτήση σε μέτρα", 1.0),
        ("Lengte van de vlucht in yards", YARD_M),
    ],
)
def test_a_unit_is_known_in_whatever_case_a_language_bends_it(line: str, factor: float) -> None:
    reading = read(f"{line}\nClub;Swing;Carry\n" + "54;waist;40\n54;waist;42\n54;chest;55\n54;chest;57\n")
    assert asked(reading) == set()
    assert reading.balls[0].distance_m == pytest.approx(40 * factor)


def test_a_section_has_the_unit_of_its_own_line() -> None:
    rows = "52;hip;30\n;;31\n;;32\n52;chest;44\n;;45\n;;43\n"
    reading = read(
        f"Maud - carry in yards\nclub;swing;carry\n{rows}\nAlban - carry in metres\nclub;swing;carry\n{rows}"
    )
    first, second = reading.balls[:6], reading.balls[6:]
    assert {ball.player for ball in first} == {"Maud"}
    assert {ball.player for ball in second} == {"Alban"}
    assert first[0].distance_m == pytest.approx(30 * YARD_M)
    assert second[0].distance_m == pytest.approx(30)


def test_times_on_the_quarter_that_come_back_are_how_far_the_arm_goes() -> None:
    rows = "".join(
        f"{club};{clock};{c}\n"
        for club in ("46", "52")
        for clock, c in [("7:30", 43), ("7:30", 41), ("9:00", 63), ("9:00", 60), ("10:30", 78), ("10:30", 82)]
    )
    assert {ball.swing for ball in read(f"Wedge;Clock;Carry yd\n{rows}").balls} == {"7:30", "9:00", "10:30"}


def test_a_row_for_each_child_under_a_club_and_swing_in_the_title() -> None:
    rows = "".join(
        f"{name};{age};{d};{d + 2};{d + 1}\n"
        for name, age, d in [("Poppy", 12, 24), ("Rufus", 11, 27), ("Inez", 10, 23), ("Wren", 9, 29)]
    )
    reading = read(f"Club: 56\nSwing: half\nCarry in metres\n\nChild;Age;1;2;3\n{rows}")
    assert {(ball.player, ball.club, ball.swing) for ball in reading.balls} == {
        (name, "56", "half") for name in ("Poppy", "Rufus", "Inez", "Wren")
    }


def test_throws_of_a_school_without_any_club_are_asked_about_before_a_ball_is_read() -> None:
    reading = read(
        "Name;Class;1. try (m);2. try (m);3. try (m)\nAurel;9a;32,11;23,25;43,92\nBosse;9a;43,20;26,19;34,79\nCosi;9b;28,91;39,94;40,91\n"
    )
    assert not reading.balls
    assert asked(reading)


def test_balls_under_a_line_for_the_warm_up_do_not_count_until_the_next_line() -> None:
    reading = read(
        "Jugador: Ada Quill\nPalo;Amplitud;Vuelo (m)\nCalentamiento (no contar)\n52;cintura;35,6\n52;cintura;40,4\nSesión\n52;cintura;33,7\n52;pecho;43,2\n52;pecho;44,2\n"
    )
    assert [ball.use for ball in reading.balls] == [False, False, True, True, True]
    assert {ball.player for ball in reading.balls} == {"Ada Quill"}


def test_a_lost_ball_is_set_aside_and_no_heading_of_a_new_table() -> None:
    rows = (
        "".join(f"Wedge 50;half;{c};{c + 3}\n" for c in (31.9, 39.1, 35.3))
        + "Wedge 50;half;zgubiona;;\n"
        + "".join(f"Wedge 50;full;{c};{c + 4}\n" for c in (62.0, 59.5, 61.1))
    )
    reading = read(f"Club;Swing;Carry (m);Total (m)\n{rows}")
    assert len(reading.balls) == 6
    assert len(reading.set_aside) == 1
    assert asked(reading) == set()


def test_arabic_and_cyrillic_code_pages_are_told_apart() -> None:
    text = "الطيران (م)\nالمضرب;التأرجح;الطيران\nSW;ربع;35\nSW;ربع;36\nSW;نصف;47\nSW;نصف;48\n"
    assert {ball.swing for ball in read_table(text.encode("cp1256"), "balls.csv").balls} <= {"ربع", "نصف"}
    assert (
        read_table("Клюшка;Замах;Полет (м)\n54;пояс;35\n54;пояс;36\n54;грудь;47\n".encode("cp1251"), "balls.csv")
        .balls[0]
        .swing
        == "пояс"
    )


def test_a_name_above_each_section_is_its_player() -> None:
    rows = "".join(f"PW 47;heup;{c};5\nPW 47;schouder;{c + 33};8\n" for c in (41.6, 38.9, 40.2))
    head = "Stok;Zwaai;Vlucht (m);Uitrol (m)\n"
    reading = read(f"Pitchtraining maart\n\nSjoerd Wilgenoot\n{head}{rows}\nLotte Beukelaar\n{head}{rows}")
    assert [ball.player for ball in reading.balls] == ["Sjoerd Wilgenoot"] * 6 + ["Lotte Beukelaar"] * 6


def test_a_row_of_spreads_is_no_ball_whatever_its_word() -> None:
    block = "".join(
        f"Сэнд 56;{s};{c};{c + 3}\n"
        for s, c in [
            ("половина", 35.1),
            ("половина", 32.4),
            ("половина", 33.3),
            ("полный", 65.4),
            ("полный", 62.2),
            ("полный", 66.1),
        ]
    )
    reading = read(
        f"Клюшка;Замах;Полёт, м;Всего, м\n{block}Размах всех;;18,3;19\n{block}Размах всех;;17,3;18\n".replace(".", ",")
    )
    assert len(reading.balls) == 12
    assert {ball.club for ball in reading.balls} == {"Сэнд 56"}


def test_a_key_above_a_table_on_its_side_is_no_measure_of_its_balls() -> None:
    across = ";".join
    reading = read(
        "Igralec: Ada Quill;vadišče\n"
        + across(["palica", *["SW"] * 4, *["LW"] * 4])
        + "\n"
        + across(["zamah", *["kratek", "kratek", "dolg", "dolg"] * 2])
        + "\n"
        + across(["let žogice (m)", "31,7", "30,4", "45,5", "47,8", "26,8", "28,9", "42,6", "41,3"])
        + "\n"
        + across(["skupaj (m)", "35,7", "33,2", "49,9", "51,0", "30,1", "32,3", "44,1", "45,6"])
        + "\n"
    )
    assert {ball.player for ball in reading.balls} <= {"Ada Quill"}


def test_means_in_a_table_a_column_a_shot_are_known_by_arithmetic() -> None:
    reading = read("Carry (m);;\nClub: 52;;\nNo.;waist;chest\n1;30,0;50,0\n2;32,0;52,0\n3;34,0;57,0\nzzmid;32,0;53,0\n")
    assert [ball.distance_m for ball in reading.balls] == [30.0, 50.0, 32.0, 52.0, 34.0, 57.0]


def test_a_quarter_sign_between_letters_is_a_code_page_read_wrong() -> None:
    text = "Palica;Švih;Dolet (m);Do strany (m)\nGW 52;po pás;26,8;1,1 vpravo\nGW 52;po pás;25,6;0,7 vľavo\nGW 52;po hruď;43,7;0,8 vľavo\n"
    assert decode(text.encode("cp1250")) == (text, "cp1250")


def test_means_are_known_where_words_stand_before_every_row_and_a_new_run_begins_after_them() -> None:
    run = "SW 54;{};{}\n" * 5
    first = run.format(30.0, 50.0, 32.0, 52.0, 34.0, 57.0, 31.0, 53.0, 33.0, 48.0) + "zzmid;32.0;52.0\n"
    second = run.format(20.0, 40.0, 22.0, 42.0, 24.0, 47.0, 21.0, 43.0, 23.0, 38.0) + "zzmid;22.0;42.0\n"
    reading = read(f"Carry in metres\nClub;waist;chest\n{first}{second.replace('SW 54', 'LW 58')}")
    assert len(reading.balls) == 20
    assert {ball.club for ball in reading.balls} == {"SW 54", "LW 58"}
