"""Every destructive act can be taken back: archive, merge, bag, whose, the bin; and what is in the bin is gone after thirty days."""

import datetime
import json
from pathlib import Path

import pytest
import time_machine
from tests.saying import raises_saying

from threequarter.golf.errors import UserError
from threequarter.store.balls.phone_balls import PhoneBalls
from threequarter.store.clips.clips import Clips
from threequarter.store.clips.lessons import Lessons
from threequarter.store.erasure.erase import erase
from threequarter.store.exchange.export_json import export_all, import_all
from threequarter.store.history.history import History
from threequarter.store.history.trash import Trash
from threequarter.store.people.roster import Roster
from threequarter.store.results import Club
from threequarter.store.store import Store
from threequarter.store.tasks.daily_maintenance import run_maintenance


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return Store.open(tmp_path)


def bucket(store: Store, player: str, balls: int = 2) -> int:
    session = PhoneBalls(store).begin(player)
    typed = [
        {
            "key": f"key-{session}-{n}-of-{player}"[:60],
            "club": "54",
            "swing": "waist",
            "carry": 40 + n,
            "unit": "yd",
            "age_s": 60 - n,
        }
        for n in range(balls)
    ]
    assert {outcome.state for outcome in PhoneBalls(store).take(session, typed)} <= {"saved"}
    return session


def film(store: Store, session: int) -> int:
    clips = Clips(store)
    clip = clips.begin("swing.mp4", 4, session_id=session)
    clips.take(clip, 0, b"film")
    return clip


def test_two_who_are_one_are_merged_and_parted_again_with_sessions_notes_and_bag(store: Store) -> None:
    roster, acts = Roster(store), History(store)
    own, theirs = bucket(store, "Wren Sedge"), bucket(store, "W. Sedge")
    roster.note("W. Sedge", "left knee")
    roster.set_bag("W. Sedge", [Club(label="54", loft_deg=54.0, full_carry_m=80.0)])
    merged = roster.merge("w. sedge", "Wren Sedge")
    assert roster.names() == ["Wren Sedge"]
    assert roster.known("W. Sedge") == "Wren Sedge"
    assert {s.id for s in store.sessions(["Wren Sedge"])} == {own, theirs}
    assert [n.text for n in roster.notes("Wren Sedge")] == ["left knee"]
    assert [c.full_carry_m for c in roster.bag("Wren Sedge")] == [80.0]
    late = bucket(store, "W. Sedge")  # the old name goes on working, for the player it stands for
    assert {s.player for s in store.sessions()} == {"Wren Sedge"}
    acts.take_back("merge", merged)
    assert roster.names() == ["W. Sedge", "Wren Sedge"]
    assert [s.id for s in store.sessions(["W. Sedge"])] == [theirs]
    assert {s.id for s in store.sessions(["Wren Sedge"])} == {own, late}
    assert [n.text for n in roster.notes("W. Sedge")] == ["left knee"]
    assert roster.bag("Wren Sedge") == ()
    acts.again("merge", merged)
    assert {s.id for s in store.sessions(["Wren Sedge"])} == {own, theirs, late}
    with raises_saying(UserError, match="already one player"):
        roster.merge("W. Sedge", "Wren Sedge")


def test_a_chain_of_merges_is_parted_in_order(store: Store) -> None:
    roster, acts = Roster(store), History(store)
    for name in ("Ada", "Adah", "Adaah"):
        bucket(store, name)
    first, second = roster.merge("Adaah", "Adah"), roster.merge("Adah", "Ada")
    assert roster.known("adaah") == "Ada"
    assert len(store.sessions(["Ada"])) == 3
    acts.take_back("merge", second)
    assert roster.known("Adaah") == "Adah"
    acts.take_back("merge", first)
    assert roster.names() == ["Ada", "Adaah", "Adah"]


def test_an_archived_player_is_hidden_and_comes_back_by_hand_by_undo_and_by_hitting_balls(store: Store) -> None:
    roster = Roster(store)
    bucket(store, "Ivo Quill")
    archived = roster.archive("ivo quill")
    assert roster.names() == []
    assert roster.names(archived=True) == ["Ivo Quill"]
    assert roster.archived("Ivo Quill")
    History(store).take_back("archive", archived)
    assert roster.names() == ["Ivo Quill"]
    roster.archive("Ivo Quill")
    roster.bring_back("Ivo Quill")
    assert not roster.archived("Ivo Quill")
    roster.archive("Ivo Quill")
    bucket(store, "Ivo Quill", balls=1)
    assert roster.names() == ["Ivo Quill"]


def test_a_bag_and_the_owner_of_a_session_go_back_and_forth(store: Store) -> None:
    roster, acts = Roster(store), History(store)
    session = bucket(store, "Ada Quill")
    for clubs in (["50", "54"], ["58"]):
        roster.set_bag("Ada Quill", [Club(label=name) for name in clubs])
    bag = acts.recent()[0]
    assert (bag.kind, bag.player) == ("bag", "Ada Quill")
    acts.take_back("bag", bag.id)
    assert [c.label for c in roster.bag("Ada Quill")] == ["50", "54"]
    acts.again("bag", bag.id)
    assert [c.label for c in roster.bag("Ada Quill")] == ["58"]
    given = roster.give_session(session, "Bo Reed")
    assert given is not None
    assert roster.give_session(session, "bo reed") is None
    assert store.session(session).player == "Bo Reed"
    acts.take_back("whose", given)
    assert store.session(session).player == "Ada Quill"


def test_a_session_in_the_bin_comes_back_whole_and_after_thirty_days_it_is_gone_with_its_films(store: Store) -> None:
    session, other = bucket(store, "Ida Fern"), bucket(store, "Ida Fern")
    clip, loose = film(store, session), film(store, other)
    lessons = Lessons(store)
    lessons.note(session, "slower")
    lessons.link(clip, 1, store.kept_balls(session)[0].id)
    put = Trash(store).put_session(session)
    Trash(store).put_clip(loose)
    assert [s.id for s in store.sessions(["Ida Fern"])] == [other]
    assert Clips(store).of_session(other) == []
    assert store.session(session).binned
    assert [(one.what, one.id) for one in Trash(store).contents()] == [("clip", loose), ("session", session)]
    History(store).take_back("bin session", put)
    assert {s.id for s in store.sessions(["Ida Fern"])} == {session, other}
    History(store).again("bin session", put)
    assert Trash(store).purge() == 0
    now = datetime.datetime.now(datetime.UTC).replace(tzinfo=None)
    assert Trash(store).purge(now + datetime.timedelta(days=31)) == 2
    assert not (store.data_dir / "clips" / str(clip)).exists()
    with raises_saying(UserError, match="no day"):
        store.session(session)
    assert [n.text for n in Roster(store).notes("Ida Fern")] == ["slower"]  # a note is the player's
    assert len(store.kept_balls(other)) == 2
    with raises_saying(UserError, match="not in the bin"):
        Trash(store).delete_session(other)


def test_the_daily_round_empties_the_bin_of_what_is_thirty_days_old_wherever_the_films_are(store: Store) -> None:
    store.clips_dir = store.data_dir / "shared" / "clips"  # as an academy has them
    session = bucket(store, "Ida Fern")
    clip = film(store, session)
    folder = store.clips_dir / str(clip)
    assert folder.is_dir()
    Trash(store).put_session(session)
    run_maintenance(store)
    assert folder.is_dir()
    with time_machine.travel(datetime.datetime.now(datetime.UTC) + datetime.timedelta(days=31)):
        run_maintenance(store)
    assert not folder.exists()
    assert Trash(store).contents() == []
    with raises_saying(UserError, match="no day"):
        store.session(session)


def test_the_list_of_acts_names_who_and_what(store: Store) -> None:
    session = bucket(store, "Ida Fern")
    ball = store.kept_balls(session)[0].id
    store.leave_out(ball, "hit a post")
    Roster(store).note("Ida Fern", "quiet head")
    clip = film(store, session)
    link = Lessons(store).link(clip, 2, ball)
    found = [(done.kind, done.of, done.player) for done in History(store).recent()]
    assert ("edit", "hit a post", "Ida Fern") in found
    assert ("note", "quiet head", "Ida Fern") in found
    assert ("link", "2", "Ida Fern") in found
    History(store).take_back("link", link)
    assert Lessons(store).links(session) == {}
    for kind, number in (("merge", 1), ("link", 99), ("nonsense", 1)):
        with raises_saying(UserError, match="no such step"):
            History(store).take_back(kind, number)


def test_balls_know_when_they_were_typed_however_wrong_the_phones_clock_is(store: Store) -> None:
    first, second = (kept.hit_at for kept in store.kept_balls(bucket(store, "Ida Fern")))
    assert first is not None
    assert second is not None
    assert 0.5 < (second - first).total_seconds() < 1.5
    assert abs((datetime.datetime.now(datetime.UTC).replace(tzinfo=None) - second).total_seconds() - 59) < 20


def test_export_and_erasure_hold_acts_links_and_merged_names(store: Store, tmp_path: Path) -> None:
    session = bucket(store, "Ida Fern")
    bucket(store, "I. Fern")
    Roster(store).merge("I. Fern", "Ida Fern")
    Lessons(store).link(film(store, session), 1, store.kept_balls(session)[0].id)
    whole = export_all(store)
    with Store.open(tmp_path / "again") as again:
        import_all(again, whole)
        assert export_all(again)["tables"] == whole["tables"]
    erase(store, "ida fern")
    assert Roster(store).players() == []
    left = {name: rows for name, rows in export_all(store)["tables"].items() if rows and name != "shape"}
    assert sorted(left) == [
        "audit",
        "erased",
    ]  # a number, and marks without a name, by which an older backup forgets them too
    assert "fern" not in json.dumps(left).casefold()
