"""Folders for half-made things: what a killed process left is swept, what a living one makes is not."""

import os
import subprocess
import sys
import threading
from pathlib import Path

from threequarter.store.database import scratch

LEAVE = "import os, sys; from pathlib import Path; from threequarter.store.database.scratch import scratch\nwith scratch(Path(sys.argv[1])) as folder:\n    (folder / 'film').touch()\n    os._exit(9)"


def test_what_a_killed_process_left_is_swept_by_the_next(tmp_path: Path) -> None:
    subprocess.run([sys.executable, "-c", LEAVE, str(tmp_path)], env={**os.environ, "PYTHONPATH": ":".join(sys.path)})
    assert len(list(tmp_path.rglob("film"))) == 1
    with scratch.scratch(tmp_path):
        assert not list(tmp_path.rglob("film"))
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_use_is_left_alone_and_one_that_was_never_held_goes(tmp_path: Path) -> None:
    with scratch.scratch(tmp_path) as mine:
        (tmp_path / ".scratch-0").mkdir()
        assert scratch.sweep(tmp_path) == 1
        assert list(tmp_path.iterdir()) == [mine]


def test_many_who_make_and_sweep_at_once_each_keep_their_own(tmp_path: Path) -> None:
    lost: list[str] = []

    def make() -> None:
        for _ in range(40):
            with scratch.scratch(tmp_path) as folder:
                try:
                    (folder / "part").write_text("half made")
                    if (folder / "part").read_text() != "half made":
                        lost.append("other content")
                except OSError as error:
                    lost.append(str(error))

    makers = [threading.Thread(target=make) for _ in range(8)]
    for maker in makers:
        maker.start()
    for maker in makers:
        maker.join()
    assert lost == []
    assert scratch.sweep(tmp_path) == 0


def test_a_folder_swept_between_its_making_and_its_holding_is_made_again(tmp_path: Path) -> None:
    hold, swept = scratch._hold, []

    def late(folder: Path) -> object:
        if not swept:
            swept.append(folder)
            assert scratch.sweep(tmp_path) == 1
        return hold(folder)

    scratch._hold = late  # type: ignore[assignment]
    try:
        with scratch.scratch(tmp_path) as folder:
            assert folder.is_dir()
            assert folder != swept[0]
    finally:
        scratch._hold = hold
    assert list(tmp_path.iterdir()) == []
