"""Charts take turns: the line has an end, and whoever is turned away is told so."""

import threading
from concurrent.futures import ThreadPoolExecutor

from tests.saying import raises_saying

from threequarter.app.fit_turns import FitTurns
from threequarter.golf.errors import NotNowError


def test_no_more_fit_at_once_than_there_are_turns() -> None:
    turns, lock, most, now = FitTurns(at_once=2, in_line=20), threading.Lock(), 0, 0
    two = threading.Barrier(2, timeout=300)

    def fit(_number: int) -> None:
        nonlocal most, now
        with turns.turn():
            with lock:
                now += 1
                most = max(most, now)
            two.wait()  # both turns are taken before either is given back
            with lock:
                now -= 1

    with ThreadPoolExecutor(max_workers=8) as pool:
        list(pool.map(fit, range(8)))
    assert most == 2


def test_a_full_line_is_told_at_once_and_a_long_wait_ends() -> None:
    turns = FitTurns(at_once=1, in_line=0, patience_s=60)
    with turns.turn(), raises_saying(NotNowError, "Too many charts"), turns.turn():
        pass
    slow = FitTurns(at_once=1, in_line=1, patience_s=0.01)
    with slow.turn(), raises_saying(NotNowError, "Try again in a moment"), slow.turn():
        pass
    with turns.turn(), slow.turn():
        pass


def test_a_turn_is_given_back_after_a_failure() -> None:
    turns = FitTurns(at_once=1, in_line=0)
    for _ in range(3):
        try:
            with turns.turn():
                raise ValueError
        except ValueError:
            continue
