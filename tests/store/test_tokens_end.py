"""A script's token ends where the data are restored or moved to: a backup holds its fingerprint, and opens no door with it."""

from pathlib import Path

from threequarter.store.accounts.tokens import Tokens
from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.exchange.migrate_database import migrate_database
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store


def test_a_token_works_where_it_was_made_and_nowhere_else(tmp_path: Path, database_url: str | None) -> None:
    with Store(tmp_path / "here", database_url) as store:
        Roster(store).add("Wren Sedge")
        secret = Tokens(store).add("nightly", "write")
        backup(store, tmp_path / "all.zip")
        Tokens(store).remove(1)
        Tokens(store).add("another")
    restore(tmp_path / "all.zip", tmp_path / "new")
    with Store(tmp_path / "here", database_url) as store, Store(tmp_path / "moved") as moved:
        still = Tokens(store).add("weekly")
        migrate_database(store, moved)
        assert Tokens(store).rights_of(still) == "read"
        assert Tokens(moved).rights_of(still) is None
        assert Tokens(moved).all() == []
    with Store(tmp_path / "new") as restored:
        assert [player.name for player in Roster(restored).players()] == ["Wren Sedge"]
        assert Tokens(restored).rights_of(secret) is None
        fresh = Tokens(restored).add("nightly")
        assert Tokens(restored).rights_of(fresh) == "read"


def test_a_restore_in_place_ends_the_tokens_that_were_there(tmp_path: Path) -> None:
    with Store(tmp_path / "here") as store:
        Roster(store).add("Wren Sedge")
        secret = Tokens(store).add("nightly")
        backup(store, tmp_path / "all.zip")
    restore(tmp_path / "all.zip", tmp_path / "here", replace=True)
    with Store(tmp_path / "here") as store:
        assert Tokens(store).rights_of(secret) is None
