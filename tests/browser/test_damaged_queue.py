"""What a phone holds was damaged (by another program, by hand, by a version to come): the page opens, sound balls go on to the server,
new ones are typed, and nothing that is there is thrown away."""

from typing import Any

import pytest

from browser_support import CHROMIUM, Server
from bucket_support import begin, in_store, opened, phone, type_in, until

pytestmark = [
    pytest.mark.slow,
    pytest.mark.browser,
    pytest.mark.skipif(CHROMIUM is None, reason="NOT TESTED HERE: the keys need Chromium (make system)"),
]

DAMAGED = """BallStore.put(
  { key: "without-anything", session: DAY },
  { key: "of-other-types-1", session: DAY, n: "x", at: null, club: {}, swing: [], carry: "many", unit: 7, sent: "?" },
  { key: "k", session: DAY, n: -1, at: 1e400, club: "54", swing: "waist", carry: 1e308, unit: "ells" },
  { key: "deep-and-strange", session: DAY, n: 2, at: 2, club: "54", swing: "waist", carry: { a: [1] }, changes: "no list", rev: "r" })"""


def test_a_damaged_queue_stops_nothing_and_loses_nothing(server: Server, browser: Any) -> None:
    page = phone(browser)
    where = begin(page, server.address)
    day = int(where.split("/bucket/")[1].split("?")[0])
    page.context.set_offline(True)
    type_in(page, "41", "42")
    page.evaluate(in_store(DAMAGED.replace("DAY", str(day))))
    page.context.set_offline(False)
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    opened(page, where)
    type_in(page, "43")
    until(
        page,
        in_store(
            "BallStore.all().then((all) => all.filter((ball) => [41, 42, 43].includes(+ball.carry)).every((ball) => !BallStore.waits(ball)))"
        ),
    )
    assert faults == []
    assert page.evaluate(in_store("BallStore.all().then((all) => all.length)")) == 7
