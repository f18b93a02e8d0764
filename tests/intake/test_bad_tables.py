"""What is no table, or a hostile one: one clear line each, and the reader lives on."""

import io
import json
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest
from tests.saying import raises_saying

from threequarter.golf.errors import UserError
from threequarter.intake.answer import sure_balls
from threequarter.intake.options import ReadOptions
from threequarter.intake.tables.read import read_file, read_table
from threequarter.language import say

pytestmark = pytest.mark.slow

HEAD = "Club,Swing,Carry (yd)\n"


def error(content: bytes | str, name: str = "x.csv") -> str:
    reading = read_table(content.encode() if isinstance(content, str) else content, name)
    assert not reading.balls
    assert reading.error is not None
    assert "\n" not in say(reading.error)
    return say(reading.error)


def test_an_empty_file_is_refused() -> None:
    assert "empty" in error("")


def test_a_binary_file_is_refused() -> None:
    assert "binary" in error(bytes(range(256)) * 20)


def test_a_letter_is_refused() -> None:
    assert "no distances" in error("Dear coach,\nthank you for the lesson on Tuesday.\nRobin\n")


def test_a_table_without_distances_is_refused() -> None:
    assert "no distances" in error("Club,Swing,Launch angle\n54,waist,30\n54,waist,31\n")


def test_only_a_total_is_no_carry() -> None:
    reading = read_table(b"Club,Swing,Total (yd)\n54,waist,55\n54,waist,56\n", "x.csv")
    assert not reading.balls
    assert [(question.about, question.choices) for question in reading.questions] == [("carry", ("C=carry",))]


def test_rows_that_no_wedge_hits_are_listed_with_their_reason() -> None:
    reading = read_table(
        (HEAD + "54,waist,51\n54,waist,-3\n54,waist,1000\n54,waist,NaN\n54,waist,lost\n").encode(),
        "x.csv",
        ReadOptions(columns={"carry": "Carry (yd)"}),  # one carry in five rows is asked about
    )
    assert [ball.place.row for ball in reading.balls if ball.place] == [2]
    assert [(aside.place.row, bool(aside.why)) for aside in reading.set_aside] == [
        (3, True),
        (4, True),
        (5, True),
        (6, True),
    ]


def test_a_cell_of_ten_thousand_letters_does_no_harm() -> None:
    reading = read_table((HEAD + f"54,waist,51\n54,{'w' * 10_000},52\n").encode(), "x.csv")
    assert len(reading.balls) == 2


def test_a_number_of_hundreds_of_digits_is_none_wherever_it_stands() -> None:
    endless = "9" * 400
    table = f"Club,Swing,Balls,Carry (yd)\n54,waist,{endless},41\n54,waist,2,{endless}\n54,waist,1,43\n"
    reading = read_table(table.encode(), "x.csv")
    assert {round(ball.distance_m / 0.9144) for ball in reading.balls} == {41, 43}


def test_a_formula_in_a_text_file_is_not_run() -> None:
    reading = read_table((HEAD + "54,waist,51\n54,waist,=1+51\n").encode(), "x.csv")
    assert len(reading.balls) == 1
    assert "=1+51" in say(reading.set_aside[0].why)


def xlsx(sheet: str) -> bytes:
    """A minimal workbook around one sheet's XML."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as book:
        book.writestr(
            "[Content_Types].xml",
            '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
            '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
            '<Default Extension="xml" ContentType="application/xml"/></Types>',
        )
        book.writestr(
            "_rels/.rels",
            '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1"'
            ' Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/>'
            "</Relationships>",
        )
        book.writestr(
            "xl/workbook.xml",
            '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
            ' xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">'
            '<sheets><sheet name="A" sheetId="1" r:id="r1"/></sheets></workbook>',
        )
        book.writestr(
            "xl/_rels/workbook.xml.rels",
            '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1"'
            ' Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/>'
            "</Relationships>",
        )
        book.writestr(
            "xl/worksheets/sheet1.xml",
            f'<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>{sheet}</sheetData></worksheet>',
        )
    return out.getvalue()


def test_a_small_workbook_with_a_cell_in_the_last_corner_does_not_end_the_program() -> None:
    corner = xlsx('<row r="1"><c r="A1"><v>1</v></c></row><row r="1048576"><c r="XFD1048576"><v>1</v></c></row>')
    assert len(corner) < 3000
    assert "spreadsheet" in error(corner, "corner.xlsx")


@pytest.mark.parametrize(
    ("name", "inside"),
    [("bomb.xlsx", "xl/worksheets/sheet1.xml"), ("bomb.ods", "content.xml"), ("bomb.xls", "x"), ("bomb.xlsb", "x")],
)
def test_a_zip_bomb_is_refused_through_every_door(name: str, inside: str) -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as bomb:
        bomb.writestr(inside, b"0" * (700 * 2**20))
    assert "unpacks to" in error(out.getvalue(), name)


def test_a_text_named_xlsx_is_refused() -> None:
    assert "spreadsheet" in error("not a workbook", "x.xlsx")


def test_a_folder_a_missing_and_a_locked_file_are_told_apart(tmp_path: Path) -> None:
    with raises_saying(UserError, match="is a folder"):
        read_file(tmp_path)
    with raises_saying(UserError, match="There is no file"):
        read_file(tmp_path / "gone.csv")


def test_an_open_question_names_the_option_that_answers_it() -> None:
    reading = read_table(b"Club,Swing,Carry\n54,waist,51\n54,waist,52\n", "x.csv")
    with raises_saying(UserError, match=r"--unit \(yd or m or ft\)"):
        sure_balls(reading)
    answered = read_table(b"Club,Swing,Carry\n54,waist,51\n54,waist,52\n", "x.csv", ReadOptions(unit="yd"))
    assert [round(ball.distance_m, 3) for ball in sure_balls(answered)] == [46.634, 47.549]


def test_a_column_can_be_pointed_at() -> None:
    content = b"Club,Swing,Total (yd)\n54,waist,55\n54,waist,56\n"
    reading = read_table(content, "x.csv", ReadOptions(columns={"carry": "Total (yd)"}))
    assert len(sure_balls(reading)) == 2
    assert "the headings are" in say(read_table(content, "x.csv", ReadOptions(columns={"carry": "Nope"})).error or "")


def test_no_row_disappears(tmp_path: Path) -> None:
    lines = [f"54,waist,{40 + i}" for i in range(30)] + ["54,waist,", "54,waist,n/a", "Average,,55"]
    options = ReadOptions(columns={"carry": "Carry (yd)"})  # 40, 41, 42, ... could be a count, and is asked about
    reading = read_table((HEAD + "\n".join(lines) + "\n").encode(), "x.csv", options)
    listed = {ball.place.row for ball in reading.balls if ball.place} | {aside.place.row for aside in reading.set_aside}
    assert listed == set(range(2, 34))


def test_commas_that_part_cells_and_decimals_cannot_be_answered_away() -> None:
    content = b"Club,Swing,Carry (m),Side (m)\n54,waist,31,2,1,5\n54,waist,30,2,1\n54,waist,33,1,0,5\n"
    for options in (ReadOptions(), ReadOptions(decimal="."), ReadOptions(decimal=",")):
        reading = read_table(content, "x.csv", options)
        assert [question.about for question in reading.questions] == ["decimal"]
        with raises_saying(UserError, match="Save the file again with semicolons"):
            sure_balls(reading)


def test_a_file_beside_the_table_takes_no_library_s_place(tmp_path: Path) -> None:
    """A folder of downloads may hold anything; a child that reads a workbook must not run it."""
    mark = tmp_path / "ran"
    for name in ("json", "zipfile", "datetime"):
        (tmp_path / f"{name}.py").write_text(f"open({str(mark)!r}, 'w').close()\n")
    table = Path(__file__).parents[1] / "data" / "tables" / "t01.xlsx"
    command = [str(Path(sys.executable).with_name("threequarter")), "read", str(table), "--json", "-"]
    done = subprocess.run(command, cwd=tmp_path, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["balls"]
    assert not mark.exists()
