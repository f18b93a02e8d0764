"""`threequarter import` keeps a plain table, on the ground that was told or the usual one."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from threequarter.cli.main import group
from threequarter.store.imports.confirmed import Confirmed
from threequarter.store.store import Store


@pytest.mark.parametrize(("options", "ground"), [((), "normal"), (("--ground", "firm"), "firm")])
def test_a_plain_table_is_kept(tmp_path: Path, options: tuple[str, ...], ground: str) -> None:
    table, data = tmp_path / "balls.csv", tmp_path / "data"
    table.write_text("Club,Swing,Carry (m)\n54,waist,30.2\n54,waist,31.4\n")
    done = CliRunner().invoke(group, ["import", str(table), "--for", "Wren Sedge", "--data", str(data), *options])
    assert done.exit_code == 0, (done.output, done.exception)
    with Store.open(data) as store:
        day = store.sessions(["Wren Sedge"])[0]
        assert (day.ground, [kept.ball.distance_m for kept in store.kept_balls(day.id)]) == (ground, [30.2, 31.4])


def test_a_heading_that_the_coach_explained_before_needs_no_answer(tmp_path: Path) -> None:
    table, data = tmp_path / "balls.csv", tmp_path / "data"
    rows = [f"54,waist,{30 + n % 5}.{n}" for n in range(9)]
    table.write_text("\n".join(["Club,Swing,Wumm (m)", *rows]))
    asked = ["import", str(table), "--for", "Wren Sedge", "--data", str(data)]
    before = CliRunner().invoke(group, asked)
    assert before.exit_code != 0
    assert "intake.ask.carry" in str(before.exception)
    with Store.open(data) as store:
        Confirmed(store).learn({"Wumm (m)": "carry"})
    done = CliRunner().invoke(group, asked)
    assert done.exit_code == 0, (done.output, done.exception)
    with Store.open(data) as store:
        assert len(store.kept_balls(store.sessions(["Wren Sedge"])[0].id)) == 9
