"""The pages of safe keeping: the last good backup, one made now, an erasure with its proof."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from tests.store.full import everything, fill
from tests.task_support import have_tasks_done

from threequarter.store.backup.restore import restore
from threequarter.store.backup.retention import good_backups
from threequarter.store.store import Store
from threequarter.web.app import make_app

pytestmark = pytest.mark.slow

HOST = "127.0.0.1:8754"


@pytest.fixture
def client(tmp_path: Path, database_url: str | None) -> Iterator[TestClient]:
    with Store(tmp_path / "a", database_url) as store:
        fill(store)
    with TestClient(make_app(tmp_path / "a", frozenset({HOST})), base_url=f"http://{HOST}") as client:
        yield client


def test_a_backup_is_made_from_the_page_and_restores(tmp_path: Path, client: TestClient) -> None:
    assert "No backup yet." in client.get("/safekeeping").text
    client.post("/safekeeping/backup", headers={"origin": f"http://{HOST}"})
    have_tasks_done(client)
    (good,) = good_backups(tmp_path / "a" / "backups")
    text = client.get("/safekeeping").text
    assert "The last good backup was made on" in text
    assert good.path.name in text
    assert restore(good.path, tmp_path / "b").manifest["counts"]["player"] == 4


def test_a_player_is_erased_from_the_page_after_the_name_was_typed_and_the_proof_names_nobody(
    tmp_path: Path, client: TestClient
) -> None:
    assert "/players/Wren%20Sedge/erase" in client.get("/players/Wren%20Sedge/about").text
    assert "Type the name again" in client.get("/players/Wren%20Sedge/erase").text
    own = {"origin": f"http://{HOST}"}
    wrong = client.post("/players/Wren%20Sedge/erase", data={"typed": "Wren"}, headers=own)
    assert wrong.status_code == 400
    assert "Nothing was erased" in wrong.text
    assert client.get("/players/Wren%20Sedge").status_code == 200
    proof = client.post("/players/Wren%20Sedge/erase", data={"typed": "wren  sedge"}, headers=own)
    assert "Proof of an erasure" in proof.text
    assert "balls: 2" in proof.text
    assert "Wren" not in proof.text
    assert f"/safekeeping/erased?mark={proof.url.params['mark']}" in client.get("/safekeeping").text
    assert client.get("/players/Wren%20Sedge").status_code == 404
    assert client.get("/safekeeping/erased?mark=nonsense").status_code == 400
    assert b"Wren" not in everything(tmp_path / "a")


def test_going_back_to_a_backup_is_confirmed_told_and_can_itself_be_taken_back(
    tmp_path: Path, client: TestClient, database_url: str | None
) -> None:
    if database_url:
        pytest.skip("an academy's database is restored from the command line")
    own = {"origin": f"http://{HOST}"}
    client.post("/safekeeping/backup", headers=own)
    have_tasks_done(client)
    (good,) = good_backups(tmp_path / "a" / "backups")
    client.post("/bucket", data={"player": "Newcomer", "clubs": "54", "swings": "waist"}, headers=own)
    asked = client.get("/safekeeping/restore", params={"file": good.path.name}).text
    assert "4 players" in asked
    assert "5 players" in asked  # now
    refused = client.post("/safekeeping/restore", data={"file": good.path.name}, headers=own)
    assert refused.status_code == 400
    assert client.get("/players/Newcomer").status_code == 200
    done = client.post("/safekeeping/restore", data={"file": good.path.name, "agree": "yes"}, headers=own)
    assert "What was there before is here" in done.text
    assert client.get("/players/Newcomer").status_code == 404
    assert client.get("/players/Wren%20Sedge").status_code == 200
    client.post("/safekeeping/restore", data={"file": done.url.params["restored"], "agree": "yes"}, headers=own)
    assert client.get("/players/Newcomer").status_code == 200
    for name in ("../a.zip", "nothing.zip", "before-restore-1.zip"):
        assert client.get("/safekeeping/restore", params={"file": name}).status_code == 404
        assert client.post("/safekeeping/restore", data={"file": name, "agree": "yes"}, headers=own).status_code == 404
