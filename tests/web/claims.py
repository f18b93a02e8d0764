"""Every claim that pages, JSON and prints make of a player, gathered by walking them as a browser would; and the stores to walk.

It reads what is shown, not how it was made, so that it can walk release 0.1.0 too:

    PYTHONPATH=RELEASE/src:. python -m tests.web.claims

prints where two places of that release say different things. What 0.1.0 said stands in tests/data/contradictions_0_1_0.txt.
"""

import datetime
import importlib
import io
import itertools
import json
import random
import re
import sys
import tempfile
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from html import unescape
from pathlib import Path
from typing import Any
from urllib.parse import quote

from pypdf import PdfReader
from starlette.testclient import TestClient

HOST = "127.0.0.1:8754"
CARRY = {"50": 92.0, "54": 80.0, "58": 68.0}
SHARE = {"waist": 0.5, "chest": 0.62, "shoulder": 0.78, "halb": 0.5}
SWING = {
    "t_takeaway_s": 2.55,
    "t_top_s": 3.16,
    "t_impact_s": 3.46,
    "t_finish_s": 3.8,
    "lead_arm_top_deg": 51.0,
    "lead_arm_finish_deg": 51.0,
    "lead_arm_top_square_deg": 51.0,
    "lead_arm_finish_square_deg": 51.0,
    "hand_height_top": 0.21,
    "hand_height_finish": 0.45,
    "tempo_ratio": 2.0,
    "impact_over_peak": 0.99,
    "decelerating": False,
    "felt": None,
    "doubt90": {"lead_arm_top_square_deg": 3.0, "lead_arm_finish_square_deg": 8.0},
    "words": [],
    "warnings": [],
}
"""A swing whose arm goes as far through as back, while the hands end higher, as they do at equal angles."""


@dataclass(frozen=True)
class Claim:
    """What a place says: `about` a question, `of` a chart, a player or a clip."""

    about: str
    of: str
    where: str
    says: str


@dataclass
class Walk:
    """A store under a client, with the days and players to ask about; `told` is what was put in, which counts as a claim too; `keys`
    the addresses at which keys were opened."""

    client: TestClient
    folder: Path
    days: dict[int, str]
    told: list[Claim]
    keys: dict[int, str]
    archived: tuple[str, ...] = ()

    def text(self, address: str) -> str:
        """A page as text with its tags."""
        return unescape(self.client.get(address).text)


# What is put in


def hit(
    walk: Walk,
    day: int,
    shots: Iterable[tuple[str, str, float, str | None]],
    *,
    unit: str = "yd",
    by: str = "device",
    count: int = 1,
) -> None:
    """Balls typed on a phone, in the order given."""
    balls = [
        {
            "key": f"day-{day}-{number:05d}",
            "club": club,
            "swing": swing,
            "carry": round(carry, 1),
            "unit": unit,
            "by": by,
            "count": count,
            "strike": strike,
        }
        for number, (club, swing, carry, strike) in enumerate(shots)
    ]
    answer = walk.client.post(f"/api/sessions/{day}/balls", json={"balls": balls})
    assert {one["state"] for one in answer.json()["outcomes"]} == {"saved"}, answer.text


def shots(
    seed: int,
    clubs: Iterable[str],
    swings: Iterable[str],
    balls: int,
    *,
    times: float = 1.0,
    mishits: float = 0.1,
    spread: float = 0.05,
) -> list[tuple[str, str, float, str | None]]:
    """A simulated player: good strikes about the stock carry, some fat ones a quarter short (noted)."""
    rng = random.Random(seed)
    made = []
    for club, swing in itertools.product(clubs, swings):
        for _ball in range(balls):
            fat = rng.random() < mishits
            carry = CARRY[club] * SHARE[swing] * times * (1 + rng.gauss(0, spread)) * (0.75 if fat else 1.0)
            made.append((club, swing, carry, "fat" if fat else None))
    return made


def begin(
    walk: Walk,
    player: str,
    *,
    clubs: str = "50, 54, 58",
    swings: str = "waist, chest, shoulder",
    unit: str = "yd",
    held_on: str = "",
) -> int:
    """A new day on the keys; returns its number."""
    made = walk.client.post("/bucket", data={"player": player, "unit": unit, "clubs": clubs, "swings": swings})
    found = re.search(r"/bucket/(\d+)", str(made.url))
    assert found, made.text
    day = int(found[1])
    walk.days[day] = player
    walk.keys[day] = str(made.url)
    if held_on:
        walk.client.post(f"/sessions/{day}/weather", data={"held_on": held_on})
        walk.told.append(Claim("date", f"day {day}", "as told", held_on))
    return day


def new_player(walk: Walk) -> None:
    hit(walk, begin(walk, "Mika Sedge"), shots(1, ["50"], ["waist"], 10))


def half_a_plan(walk: Walk) -> None:
    hit(walk, begin(walk, "Sam Quill"), shots(2, ["50", "54"], ["waist"], 6))


def whole_plan(walk: Walk) -> None:
    hit(walk, begin(walk, "Lou Ferrow"), shots(3, ["50", "54"], ["waist", "chest"], 9, mishits=0.0, spread=0.03))


def piles_only(walk: Walk) -> None:
    day = begin(walk, "Ida Marsh", clubs="50, 54", swings="waist, chest")
    middle = [(club, swing, CARRY[club] * SHARE[swing], None) for club in ("50", "54") for swing in ("waist", "chest")]
    hit(walk, day, middle, by="pile", count=10)


def many_mishits(walk: Walk) -> None:
    hit(
        walk,
        begin(walk, "Kit Harrow", clubs="54", swings="waist, chest"),
        shots(5, ["54"], ["waist", "chest"], 14, mishits=0.4),
    )


def two_days(walk: Walk) -> None:
    first = begin(walk, "Ada Quill", clubs="50, 54", swings="waist", held_on="2026-04-18")
    hit(walk, first, shots(6, ["50", "54"], ["waist"], 6, mishits=0.0, spread=0.03))
    second = begin(walk, "Ada Quill", clubs="50, 54", swings="waist", held_on="2026-06-20")
    hit(walk, second, shots(7, ["50", "54"], ["waist"], 4, times=1.06, mishits=0.0, spread=0.03))


def three_days(walk: Walk) -> None:
    for number, held_on in enumerate(("2026-04-02", "2026-05-03", "2026-06-04")):
        day = begin(walk, "Bo Fennimore", clubs="54, 58", swings="chest, shoulder", held_on=held_on)
        hit(walk, day, shots(8 + number, ["54", "58"], ["chest", "shoulder"], 4))


def clinic(walk: Walk) -> None:
    names = ["Ivo", "Juno", "Kaya"]
    data = {"names": "\n".join(names), "clubs": "50, 54", "swings": "waist", "balls": "5", "unit": "yd"}
    wall = unescape(walk.client.post("/clinic", data=data).text)
    for number, day in enumerate(dict.fromkeys(map(int, re.findall(r'href="/bucket/(\d+)', wall)))):
        walk.days[day] = names[number]
        hit(walk, day, shots(20 + number, ["50", "54"], ["waist"], 5))


def archived(walk: Walk) -> None:
    hit(walk, begin(walk, "Jona Reed"), shots(11, ["50"], ["waist", "chest"], 5))
    walk.client.post("/players/Jona%20Reed/archive", data={})
    walk.archived = ("Jona Reed",)


def imported(walk: Walk) -> None:
    opened = str(walk.client.post("/demo").url)
    found = re.search(r"/sessions/(\d+)", opened)  # release 0.1.0 leads to the one day it has
    dates = ("2026-04-18",) if found else ("2026-04-18", "2026-05-09", "2026-06-20")
    for number, held_on in enumerate(dates, start=int(found[1]) if found else 1):
        walk.days[number] = "Robin Sedge"
        walk.told.append(Claim("date", f"day {number}", "as the demo tells", held_on))


def german(walk: Walk) -> None:
    day = begin(walk, "Wilma Förster", clubs="50, 54", swings="waist, chest", unit="m")
    hit(walk, day, shots(12, ["50", "54"], ["waist", "chest"], 5), unit="m")


def other_names(walk: Walk) -> None:
    day = begin(walk, "Otis Vale", clubs="50, 54", swings="halb")
    hit(walk, day, shots(13, ["50"], ["waist", "halb"], 5))


def filmed(walk: Walk) -> None:
    """A day with three swings on film, as far through as back."""
    day = begin(walk, "Nell Orchard", clubs="54", swings="waist")
    hit(walk, day, shots(14, ["54"], ["waist"], 6))
    rooms = ("threequarter.store.clips.clips", "threequarter.store.clips")
    room: Any = next(m for m in (_module(name) for name in rooms) if hasattr(m, "Clips"))
    swings = [{**SWING, "t_impact_s": 3.46 + 10 * n} for n in range(3)]
    answer = {
        "swings": swings,
        "handedness": "right",
        "camera_azimuth_deg": 4.0,
        "frames_per_s": 60.0,
        "words": [],
        "warnings": [],
    }
    store: Any = importlib.import_module("threequarter.store.store")
    with store.Store(walk.folder) as opened:
        clips = room.Clips(opened)
        clip = clips.begin("three.mp4", 3, session_id=day, felt="waist")
        clips.agree(day, "a guardian")
        clips.take(clip, 0, b"abc")
        clips.mark(clip, "done", progress=1.0, answer=answer)
    walk.told += [Claim("match", f"day {day}", "the angles, 51° and 51°", "as far through as back")]


def moved(walk: Walk) -> None:
    """A new ball: everything goes an eighth further."""
    for number, held_on in enumerate(("2026-04-18", "2026-06-20")):
        day = begin(walk, "Dara Fenn", clubs="50, 54", swings="waist", held_on=held_on)
        times = 1.12 if number else 1.0
        hit(walk, day, shots(30 + number, ["50", "54"], ["waist"], 14, times=times, mishits=0.0, spread=0.03))


def holds(walk: Walk) -> None:
    for number, held_on in enumerate(("2026-04-18", "2026-06-20")):
        day = begin(walk, "Dara Fenn", clubs="50, 54", swings="waist", held_on=held_on)
        hit(walk, day, shots(6 + number, ["50", "54"], ["waist"], 14, mishits=0.0, spread=0.03))


def three_dates_in_one_file(walk: Walk) -> None:
    """A table of a season with a date beside each ball, brought in as a file."""
    dates, rows = ("18/04/2026", "02/05/2026", "03/06/2026"), ["Player;Date;Club;Swing;Carry (yd)"]
    for number, held_on in enumerate(dates):
        for club, swing, carry, _strike in shots(40 + number, ["50", "54"], ["waist", "chest"], 5, mishits=0.0):
            rows.append(f"Gil Orchard;{held_on};{club};{swing};{carry:.1f}")
    answer = _bring_in(walk, "season.csv", "\n".join(rows))
    for day in sorted(answer):
        walk.days[day] = "Gil Orchard"
    if len(answer) == len(dates):
        for day, held_on in zip(sorted(answer), ("2026-04-18", "2026-05-02", "2026-06-03"), strict=True):
            walk.told.append(Claim("date", f"day {day}", "as the file tells", held_on))
    walk.told.append(Claim("days", "Gil Orchard", "as the file tells", str(len(dates))))
    walk.told.append(Claim("days", "Gil Orchard", "what was kept", str(len(answer))))


def two_players_in_one_file(walk: Walk) -> None:
    rows = ["Player;Club;Swing;Carry (yd)"]
    for number, player in enumerate(("Una Vale", "Pip Marsh")):
        rows += [f"{player};{c};{s};{carry:.1f}" for c, s, carry, _k in shots(50 + number, ["50", "54"], ["waist"], 6)]
    for day in sorted(_bring_in(walk, "two.csv", "\n".join(rows))):
        walk.days[day] = walk.client.get(f"/api/sessions/{day}").json()["player"]


def _bring_in(walk: Walk, name: str, table: str) -> list[int]:
    """Keeps a table by the interface for programs; the numbers of its days."""
    known = {one["session_id"] for one in walk.client.get("/api/sessions").json()}
    answer = walk.client.post("/api/import", files={"file": (name, table.encode(), "text/csv")})
    assert answer.status_code < 300, answer.text
    return [n for one in walk.client.get("/api/sessions").json() if (n := one["session_id"]) not in known]


def gripping_down(walk: Walk) -> None:
    """The same wedge with two grips is two shots."""
    day = begin(walk, "Tess Rowan", clubs="54, 54 gripped down", swings="waist")
    hit(walk, day, shots(60, ["54"], ["waist"], 8, mishits=0.0, spread=0.03))
    short = [
        ("54 gripped down", swing, 0.9 * carry, note)
        for _c, swing, carry, note in shots(61, ["54"], ["waist"], 8, mishits=0.0)
    ]
    balls = [
        {"key": f"grip-{n:05d}", "club": club, "swing": swing, "carry": round(carry, 1), "unit": "yd", "by": "device"}
        for n, (club, swing, carry, _note) in enumerate(short)
    ]
    walk.client.post(f"/api/sessions/{day}/balls", json={"balls": balls})


def joined(walk: Walk) -> None:
    """A day entered twice, made one again."""
    days = [begin(walk, "Rory Pell", clubs="50, 54", swings="waist", held_on="2026-05-09") for _half in range(2)]
    for number, day in enumerate(days):
        hit(walk, day, shots(70 + number, ["50", "54"], ["waist"], 5))
    walk.client.post(f"/sessions/{days[0]}/join", data={"other": str(days[1])})
    if not walk.client.get(f"/sessions/{days[1]}/chart.json").json().get("cells"):
        del walk.days[days[1]]


def reads_metres(walk: Walk) -> None:
    """Typed in yards by the coach, read in metres by the player."""
    day = begin(walk, "Sol Brandt", clubs="50, 54", swings="waist, chest")
    hit(walk, day, shots(80, ["50", "54"], ["waist", "chest"], 5))
    walk.client.post("/players/Sol Brandt/reads", data={"distance": "m"})


def _module(name: str) -> Any:
    try:
        return importlib.import_module(name)
    except ImportError:
        return None


STORES: dict[str, Callable[[Walk], None]] = {
    "a new player, ten balls of one shot": new_player,
    "half a plan": half_a_plan,
    "a whole plan": whole_plan,
    "piles only": piles_only,
    "many mishits": many_mishits,
    "two days": two_days,
    "three days": three_days,
    "a clinic": clinic,
    "archived": archived,
    "imported": imported,
    "German, metres": german,
    "other names": other_names,
    "filmed": filmed,
    "moved": moved,
    "holds": holds,
    "three dates in one file": three_dates_in_one_file,
    "two players in one file": two_players_in_one_file,
    "gripping down": gripping_down,
    "a day entered twice, joined": joined,
    "typed in yards, read in metres": reads_metres,
}
QUICK: dict[str, Callable[[Walk], None]] = {
    name: STORES[name]
    for name in (
        "half a plan",
        "many mishits",
        "two days",
        "imported",
        "moved",
        "three dates in one file",
        "gripping down",
        "typed in yards, read in metres",
    )
}
"""Those that found something, for the suite; `benchmarks/contradictions.py` walks them all."""


# What is said


def claims(walk: Walk) -> Iterator[Claim]:
    """Everything that all places say."""
    yield from walk.told
    for day, player in walk.days.items():
        alone = sum(other == player for other in walk.days.values()) == 1
        yield from _keys(walk, day)
        yield from _chart_page(walk, day, f"day {day}")
        yield from _json(walk, day)
        yield from _prints(walk, day, f"day {day}" if alone else f"all days of {player}")
        yield from _swings(walk, day)
    for player in dict.fromkeys(walk.days.values()):
        yield from _player(walk, player)
        yield from _lists(walk, player)


def _keys(walk: Walk, day: int) -> Iterator[Claim]:
    """What the keys say, asked as their page asks."""
    page = walk.text(walk.keys.get(day, f"/bucket/{day}"))
    found = [re.search(rf'data-{name}="(\[.*?\])"', page) for name in ("clubs", "swings")]
    clubs, swings = (json.loads(one[1]) if one else [] for one in found)
    live = walk.client.get(
        f"/api/sessions/{day}/live", params={"clubs": ",".join(clubs), "swings": ",".join(swings)}
    ).json()
    of, where = f"day {day}", "keys"
    yield Claim("enough", of, where, _yes(live["stop"]))
    if not live["stop"]:
        yield Claim("balls to go", of, where, str(live["to_go"]))
        if live["next"]:
            yield Claim("next", of, where, f"{live['next'][0]['club']} {live['next'][0]['swing']}")
    for cell in live["cells"]:
        yield Claim(f"carry of {cell['club']} {cell['swing']}", of, where, str(cell["carry"]))
        yield Claim(f"± of {cell['club']} {cell['swing']}", of, where, str(cell["doubt"]))
        yield Claim(f"less sure: {cell['club']} {cell['swing']}", of, where, _yes(cell["need"]))


def _chart_page(walk: Walk, day: int, of: str) -> Iterator[Claim]:
    page = walk.text(f"/sessions/{day}")
    yield from _advice(_section(page, "next"), of, "chart page")
    yield from _table(page, of, "chart page")
    yield from _dates(page, f"day {day}", "chart page")
    if _only_piles(page):
        yield Claim("mishits", of, "chart page", "not known")
    if re.search(r"No (holes|gaps)", page):
        yield Claim("gaps", of, "chart page", "0")


def _json(walk: Walk, day: int) -> Iterator[Claim]:
    told, of, where = walk.client.get(f"/sessions/{day}/chart.json").json(), f"day {day}", "chart.json"
    yield Claim("enough", of, where, _yes(told["next"]["stop"]))
    yield Claim("gaps", of, where, str(len(told["meaning"]["holes"])))
    if not told["next"]["stop"]:
        yield Claim("balls to go", of, where, str(told["next"]["balls_to_go"]))
        if told["next"]["next"]:
            first = told["next"]["next"][0]
            yield Claim("next", of, where, f"{first['club']} {first['swing']}")
    for cell in told["cells"]:
        yield Claim(f"carry of {cell['club']} {cell['swing']}", of, where, str(round(cell["stock_carry"])))
    held_on = walk.client.get(f"/api/sessions/{day}").json().get("held_on")
    if held_on:
        yield Claim("date", of, "interface", held_on)
    api = walk.client.get(f"/api/sessions/{day}/next")
    if api.status_code == 200:
        yield Claim("enough", of, "interface", _yes(api.json()["stop"]))
        if not api.json()["stop"]:
            yield Claim("balls to go", of, "interface", str(api.json()["balls_to_go"]))


def _prints(walk: Walk, day: int, of: str) -> Iterator[Claim]:
    pdf = walk.client.get(f"/sessions/{day}/card.pdf")
    card = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf.content)).pages).split())
    yield from _dates(card, of, "card")
    if "piles cannot show them" in card:
        yield Claim("mishits", of, "card", "not known")
    elif found := re.search(r"Not good: [^)]*\)", card):
        yield Claim("mishits", of, "card", found[0])
    yield from _round(walk.text(f"/sessions/{day}/round"), card, of)
    home = walk.text(f"/sessions/{day}/report")
    yield from _table(home, of, "page to take home")
    yield from _dates(_made_of(home), of, "page to take home")


def _round(page: str, card: str, of: str) -> Iterator[Claim]:
    """The round view is the card: by shot (its rows the swings, its columns the wedges) and by number."""
    table = _section_of(page, "<table", "</table>")
    clubs = [_plain(head) for head in re.findall(r'<th scope="col">(.*?)</th>', table, re.S)]
    for swing, rest in re.findall(r'<tr><th scope="row">(.*?)</th>(.*?)</tr>', table, re.S):
        for club, cell in zip(clubs, re.findall(r"<td>(.*?)</td>", rest, re.S), strict=True):
            carry, unsure, lands = re.match(r"(\d+)\s*(\??)\s*(\d+–\d+)$", _plain(cell)).groups()  # type: ignore[union-attr]
            shot = f"{club} {_plain(swing)}"
            yield Claim(f"carry of {shot}", of, "round view", carry)
            yield Claim(f"less sure: {shot}", of, "round view", _yes(bool(unsure)))
            yield Claim(f"range of {shot} on another day", of, "round view", lands)
            yield Claim(
                f"range of {shot} on another day", of, "card", lands if f"{carry}{unsure} {lands}" in card else ""
            )
    for shot, doubt in re.findall(r"(?:<td>|<br>)([^<]+?) <small>(±\d+\??)</small>", page):
        yield Claim(f"less sure: {shot}", of, "round view, by number", _yes("?" in doubt))
        yield Claim(f"± of {shot} on another day", of, "round view, by number", doubt)
        found = re.search(re.escape(shot) + r" (±\d+\??)", card)
        yield Claim(f"± of {shot} on another day", of, "card, by number", found[1] if found else "")


def _section_of(page: str, begin: str, end: str) -> str:
    return begin + page.partition(begin)[2].partition(end)[0] + end


def _made_of(page: str) -> str:
    found = re.search(r'<p class="hint">(?:<a[^>]*>)?((?:Standing chart|This day alone)[^<]*)', page)
    return found[1] if found else ""


def _player(walk: Walk, player: str) -> Iterator[Claim]:
    page = walk.text(f"/players/{quote(player)}")
    days = [day for day, other in walk.days.items() if other == player]
    of = f"day {days[0]}" if len(days) == 1 else f"all days of {player}"
    yield from _advice(_section(page, "next") or _section(page, "chart"), of, "player page")
    yield from _table(_section(page, "chart"), of, "player page")
    if "It moved." in page:
        yield Claim("enough", of, "recheck on the player page", "no")
    pooled = walk.text(f"/players/{quote(player)}/pooled")
    yield from _advice(_section(pooled, "next"), of, "pooled page")
    yield from _table(pooled, of, "pooled page")
    if len(days) < 2:
        return
    yield from _verdict(page, f"recheck of {player}", "player page")
    for found in re.finditer(r"(longer|shorter): ([+−-]?\d+) (?:yd|m) \(±", page):
        yield Claim("moved or not", f"recheck of {player}", "player page, carry through time", f"moved {found[2]}")
        break
    for link in dict.fromkeys(re.findall(r'href="(/sessions/\d+/recheck[^"]*)"', page)):
        yield from _verdict(walk.text(link), f"recheck of {player}", "recheck from the player page")
    for day in days:
        page = walk.text(f"/sessions/{day}/recheck")
        chosen = re.findall(r'<option value="(\d+)"', _select(page, "new"))
        for other in chosen or [""]:
            asked = walk.text(f"/sessions/{day}/recheck?new={other}") if other else page
            yield from _verdict(asked, f"recheck of {player}", f"recheck from day {day}")


def _lists(walk: Walk, player: str) -> Iterator[Claim]:
    if player in walk.archived:
        for where in ("/", "/players", "/bucket", "/lesson", "/clinic"):
            page = walk.text(where)
            yield Claim("hidden once archived", player, where, _yes(player not in page))
        yield Claim("hidden once archived", player, "as the player's page says", "yes")
        return
    home = walk.text("/")
    for day in (day for day, other in walk.days.items() if other == player):
        line = re.search(rf'<li><a href="/sessions/{day}">.*?</li>', home, re.S)
        if line:
            yield from _dates(line[0], f"day {day}", "first page")


def _swings(walk: Walk, day: int) -> Iterator[Claim]:
    """Whether the way through was as far as the way back, in words, wherever swings are shown."""
    for where, address in (("lesson", f"/sessions/{day}/lesson"), ("page to take home", f"/sessions/{day}/report")):
        page = walk.text(address)
        if re.search(r"through is longer|through: longer|In 0 of \d", page):
            yield Claim("match", f"day {day}", where, "not as far through as back")
        elif re.search(r"[Tt]hrough matches back|as far through as back|In 3 of 3", page):
            yield Claim("match", f"day {day}", where, "as far through as back")


def _yes(is_so: bool) -> str:
    return "yes" if is_so else "no"


def _section(page: str, name: str) -> str:
    found = re.search(rf'aria-labelledby="{name}".*?</section>', page, re.S)
    return found[0] if found else ""


def _select(page: str, name: str) -> str:
    found = re.search(rf'<select[^>]*name="{name}".*?</select>', page, re.S)
    return found[0] if found else ""


def _only_piles(page: str) -> bool:
    return "piles cannot show them" in page


def _advice(section: str, of: str, where: str) -> Iterator[Claim]:
    """What a page says of next and enough, in English or German."""
    if not section:
        return
    text = _plain(section)
    ahead = re.search(r"(?:Next ball: |Hit \d+ (?:more )?with the |next: )(\S+ \S+?)[.,:]", text)
    go = re.search(r"[Aa]bout (\d+) (?:more )?balls?", text)
    if ahead:
        yield Claim("next", of, where, ahead[1])
    if go:
        yield Claim("enough", of, where, "no")
        yield Claim("balls to go", of, where, go[1])
    elif re.search(r"Good enough[:.]|Enough", text):
        yield Claim("enough", of, where, "yes")
        marked = re.search(r"(\d+) shots?, marked \?, (?:is|are) less sure", text)
        yield Claim("shots marked ?", of, where, marked[1] if marked else "0")


def _table(page: str, of: str, where: str) -> Iterator[Claim]:
    """The matrix of distances: club by swing."""
    for table in re.findall(r"<table.*?</table>", page, re.S):
        heads = [_plain(cell) for cell in re.findall(r'<th scope="col"[^>]*>(.*?)</th>', table, re.S)]
        heads = heads if re.search(r"<thead><tr>\s*<td", table) else heads[1:]
        for row in re.findall(r"<tr><th scope=\"row\">(.*?)</tr>", table, re.S):
            club, _end, rest = row.partition("</th>")
            cells = re.findall(r"<td[^>]*>(.*?)</td>", rest, re.S)
            for swing, cell in zip(heads, cells, strict=False):
                found = re.match(
                    r"(?:<a[^>]*>)?<strong>(\d+)</strong>(?:</a>)?\s*(?:<[^>]*>)?\s*± ([\d.,]+)", cell.strip()
                )
                if found and len(cells) == len(heads):
                    yield Claim(f"carry of {_plain(club)} {swing}", of, where, found[1])
                    yield Claim(f"less sure: {_plain(club)} {swing}", of, where, _yes("?" in _plain(cell)))


def _plain(cell: str) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", cell).split())


def _dates(text: str, of: str, where: str) -> Iterator[Claim]:
    """A day as pages write it, as ISO."""
    for found in re.finditer(r"\b(\d{1,2}) (Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\w* (20\d\d)\b", text):
        day = datetime.datetime.strptime(" ".join(found.groups()), "%d %b %Y").date()
        yield Claim("date", of, where, day.isoformat())
        return


def _verdict(page: str, of: str, where: str) -> Iterator[Claim]:
    big = " ".join(re.findall(r'class="big">([^<]*)', page))
    kinds = {"still holds": "holds", "chart holds": "holds", "It moved": "moved", "Too early to say": "not known"}
    kind = next((kind for words, kind in kinds.items() if words in big), "")
    shift = re.search(r"\): ([+−-]?\d+) ± (\d+)", page)
    if kind:
        yield Claim("moved or not", of, where, f"{kind} {shift[1] if shift else ''}".strip())


# Where two places differ


def contradictions(found: Iterable[Claim]) -> list[str]:
    """One line for each question about one thing that two places answer differently."""
    answers: dict[tuple[str, str], dict[str, set[str]]] = defaultdict(lambda: defaultdict(set))
    for claim in found:
        answers[claim.about, claim.of][claim.says].add(claim.where)
    return [
        f"{about} ({of}): " + "; ".join(f"{says!r} on {', '.join(sorted(where))}" for says, where in said.items())
        for (about, of), said in answers.items()
        if len(said) > 1
    ]


def walked(folder: Path) -> Walk:
    """An empty store under a client, which is to be opened and closed by the caller."""
    app: Any = importlib.import_module("threequarter.web.app")
    client = TestClient(app.make_app(folder, frozenset({HOST})), base_url=f"http://{HOST}")
    return Walk(client=client, folder=folder, days={}, told=[], keys={})


def main() -> None:
    """Prints where the release on the path contradicts itself."""
    for name, fill in STORES.items():
        with tempfile.TemporaryDirectory() as folder:
            walk = walked(Path(folder))
            with walk.client:
                fill(walk)
                found = list(claims(walk))
                different = contradictions(found)
        sys.stdout.write(f"{name}: {len(found)} claims, {len(different)} contradictions\n")
        for line in different:
            sys.stdout.write(f"  {line}\n")


if __name__ == "__main__":
    main()
