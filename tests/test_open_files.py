"""On Windows nobody replaces, renames or deletes a file that somebody has open (Microsoft, CreateFileW, share modes). Here the same
is made of Linux: whatever would do so is refused, our own open files too."""

import fcntl
import os
import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest
from tests.saying import raises_saying
from tests.store.full import add_film, fill, state

from threequarter.app import kept_charts
from threequarter.cli.output import write_whole
from threequarter.golf.errors import NotNowError, UserError
from threequarter.store.backup.backup import backup
from threequarter.store.backup.restore import restore
from threequarter.store.clips.clips import Clips
from threequarter.store.database import scratch
from threequarter.store.erasure.erase import erase
from threequarter.store.media import media_files
from threequarter.store.people.roster import Roster
from threequarter.store.store import Store

REFUSED: list[str] = []


def is_held(path: Path) -> bool:
    """Whether this process has the file open, or one in the folder."""
    for link in Path("/proc/self/fd").iterdir():
        try:
            name = link.readlink()
        except OSError:
            continue
        if name == path or (path.is_dir() and path in name.parents):
            return True
    return False


@pytest.fixture(autouse=True)
def windows(monkeypatch: pytest.MonkeyPatch) -> None:
    """Renaming and deleting as Windows does it; one process stands for all that have files open."""
    if not Path("/proc/self/fd").is_dir():
        pytest.skip("needs /proc")

    def guard(does: Callable[..., Any]) -> Callable[..., Any]:
        def guarded(*paths: Any, **options: Any) -> Any:
            if options.get("dir_fd") is None:
                for path in paths:
                    if is_held(Path(os.path.abspath(path))):  # noqa: PTH100 - resolve() would follow links
                        REFUSED.append(f"{does.__name__} {path}")
                        raise PermissionError(13, "The process cannot access the file", str(path))
            return does(*paths, **options)

        return guarded

    def fsync(handle: int) -> None:
        """Windows flushes only what was opened for writing (Microsoft, FlushFileBuffers)."""
        if (
            Path(f"/proc/self/fd/{handle}").is_file()
            and fcntl.fcntl(handle, fcntl.F_GETFL) & os.O_ACCMODE == os.O_RDONLY
        ):
            raise OSError(9, "Bad file descriptor")
        synced(handle)

    synced = os.fsync
    monkeypatch.setattr(os, "fsync", fsync)
    for name in ("replace", "rename", "unlink", "remove", "rmdir"):
        monkeypatch.setattr(os, name, guard(getattr(os, name)))
    for room in (media_files, scratch):
        monkeypatch.setattr(room, "MOVES_OPEN_FILES", False)
    monkeypatch.setattr(shutil, "_use_fd_functions", False)
    REFUSED.clear()


def test_the_stand_in_refuses_as_windows_does(tmp_path: Path) -> None:
    (tmp_path / "folder").mkdir()
    file, other = tmp_path / "folder" / "a", tmp_path / "b"
    file.write_bytes(b"old")
    other.write_bytes(b"new")
    with file.open("rb"):
        for refused in (lambda: other.replace(file), file.unlink, lambda: file.parent.rename(tmp_path / "c")):
            with pytest.raises(PermissionError):
                refused()
        with pytest.raises(PermissionError):
            shutil.rmtree(file.parent)
        with file.open("rb") as reads, pytest.raises(OSError, match="descriptor"):
            os.fsync(reads.fileno())
    other.replace(file)
    assert file.read_bytes() == b"new"


def test_a_card_that_is_open_in_a_viewer_is_not_overwritten_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    card = tmp_path / "card.pdf"
    card.write_bytes(b"old")
    with card.open("rb"), pytest.raises(UserError, match="cannot be written"):
        write_whole(card, b"new")
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"card.pdf": b"old"}
    write_whole(card, b"new")
    assert card.read_bytes() == b"new"


def test_a_kept_chart_that_is_being_read_stays_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    kept = tmp_path / "answers" / "1.npz"
    kept_charts._put(kept, b"old")
    with kept.open("rb"), pytest.raises(PermissionError):
        kept_charts._put(kept, b"new")
    assert [path.name for path in kept.parent.iterdir()] == ["1.npz"]
    assert kept.read_bytes() == b"old"


def test_a_film_that_several_senders_end_at_once_gets_its_name_once(tmp_path: Path) -> None:
    film = tmp_path / "clip.mp4"
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(lambda _: media_files.write_part(film, 0, b"film" * 5000), range(8)))
        digests = set(pool.map(lambda _: media_files.put_in_place(media_files.part_of(film), film), range(8)))
    assert digests == {media_files.digest_of(film)}
    assert [path.name for path in tmp_path.iterdir()] == ["clip.mp4"]
    assert REFUSED == []


def test_a_player_whose_film_is_open_is_not_erased_by_half(tmp_path: Path) -> None:
    with Store(tmp_path) as store:
        fill(store)
        first, second = (add_film(store, 1, film, f"{film[:1]!r}.mp4") for film in (b"first", b"second"))
        (name,) = [one.name for one in Roster(store).players() if "Wren" in one.name]
        before = state(store)
        film = next(path for path in Clips(store).folder(second).rglob("*") if path.is_file())
        with film.open("rb"), raises_saying(NotNowError, "is open in another program"):
            erase(store, name)
        assert state(store) == before
        assert all(any(Clips(store).folder(clip).iterdir()) for clip in (first, second))
        erase(store, name)
        assert not Clips(store).folder(first).exists()
        assert not Clips(store).folder(second).exists()


def test_what_a_killed_process_left_is_swept_there_too(tmp_path: Path) -> None:
    left = tmp_path / ".scratch-left"
    left.mkdir()
    (left / "film").write_bytes(b"half")
    with scratch.scratch(tmp_path, "scratch") as mine:
        assert list(tmp_path.iterdir()) == [mine]
        assert scratch.sweep(tmp_path) == 0
    assert list(tmp_path.iterdir()) == []


def test_keeping_backing_up_and_restoring_never_replace_a_file_of_ours_that_is_open(tmp_path: Path) -> None:
    with Store(tmp_path / "a") as store:
        fill(store)
        add_film(store, 1, b"film")
        before = state(store)
        backup(store, tmp_path / "all.zip")
        backup(store, tmp_path / "all.zip")
    restore(tmp_path / "all.zip", tmp_path / "b")
    restore(tmp_path / "all.zip", tmp_path / "b", replace=True)
    with Store(tmp_path / "b") as again:
        assert state(again) == before
    assert REFUSED == []
