"""What is made of a chart, asked of pages, prints and commands alike: which shot, another day, a test, wedges, the spread, the recheck, the
card, a clinic's wall and its print."""

import io
import json
import re
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any
from urllib.parse import quote

from pypdf import PdfReader
from tests.web.claims import Claim, Walk, _dates, _plain, _table
from tests.web.claims_elsewhere import card_told, pdf_text, plan_of, ran, table_of, unit_of

from threequarter.store.people.clinics import Clinics
from threequarter.store.store import Store

SEED, CALLED = 5, 9
AIR = {"temp_c": "4", "wind_mps": "5", "wind_from": "ahead"}
KINDS = {"still holds": "holds", "chart holds": "holds", "It moved": "moved", "Too early to say": "not known"}


def uses(walk: Walk) -> Iterator[Claim]:
    """Everything that is made of the charts of a store."""
    for player in dict.fromkeys(walk.days.values()):
        days = [day for day, other in walk.days.items() if other == player]
        several = len(days) > 1
        for day in days[:2]:
            yield from _used(walk, day, "&of=day", f"/sessions/{day}/balls.csv", f"day {day}")
        if several:
            table = f"/players/{quote(player)}/balls.csv"
            yield from _used(walk, days[-1], "", table, f"all days of {player}")
            yield from _recheck(walk, days[0], table, player)
    yield from _clinics(walk)


def _used(walk: Walk, day: int, which: str, table: str, of: str) -> Iterator[Claim]:
    """One chart as the pages of a day (`which` says of what) and as the commands given its table."""
    asked = [table_of(walk, table), *plan_of(walk, day), "--show", unit_of(walk, day)]
    carries = sorted(cell["stock_carry"] for cell in walk.client.get(f"/sessions/{day}/chart.json").json()["cells"])
    yield from _shot(walk, day, which, asked, of, round(carries[len(carries) // 2]) + 1)
    yield from _another_day(walk, day, which, asked, of)
    yield from _test(walk, day, which, asked, of)
    yield from _wedges(walk, day, which, asked, of)
    yield from _cards(walk, day, which, asked, of)
    yield from _spread(walk, day, which, asked, of)


def _shot(walk: Walk, day: int, which: str, asked: Sequence[str], of: str, to: int) -> Iterator[Claim]:
    page = walk.text(f"/sessions/{day}/shot?to={to}{which}")
    row = re.search(r'<tbody><tr>\s*<th\s+scope="row">(.*?)</th>\s*<td\s+class="num">([\d.,]+)', page, re.S)
    green = re.findall(r'<td class="num">(\d+)</td>', page)
    if row:
        yield Claim(f"best shot to {to}", of, "shot page", _plain(row[1]))
        yield Claim(f"strokes to {to}", of, "shot page", row[2])
        yield Claim(f"on the green from {to}", of, "shot page", green[0])
    told = json.loads(ran("shot", *asked, "--to", str(to), "--json", "-"))
    for best in (told["options"][at] for at in told["shown"][:1]):
        yield Claim(f"best shot to {to}", of, "command shot", f"{best['club']} {best['swing']}")
        if round(1000 * best["expected_strokes"]) % 10 != 5:
            yield Claim(f"strokes to {to}", of, "command shot", f"{best['expected_strokes']:.2f}")
        yield Claim(f"on the green from {to}", of, "command shot", str(round(100 * best["chances"]["on_green"])))
    yield Claim(f"something reaches {to}", of, "shot page", str(bool(row)))
    yield Claim(f"something reaches {to}", of, "command shot", str(bool(told["options"])))


def _another_day(walk: Walk, day: int, which: str, asked: Sequence[str], of: str) -> Iterator[Claim]:
    query = "&".join(f"{name}={value}" for name, value in AIR.items()) + which
    page = walk.text(f"/sessions/{day}/day?{query}")
    for claim in _table(page, of, "page of another day"):
        yield Claim(f"{claim.about} on another day", of, claim.where, claim.says)
    printed = walk.folder / f"day-{day}.pdf"
    weather = ["--temp", AIR["temp_c"], "--wind", AIR["wind_mps"], "--wind-from", AIR["wind_from"]]
    told = json.loads(ran("day", *asked, *weather, "--card", str(printed), "--json", "-"))
    for cell in told["cells"]:
        found = re.search(r": (\d+) becomes (\d+) ± ([\d.,]+)", cell["words"])
        assert found, cell["words"]
        shot = f"{cell['club']} {cell['swing']}"
        yield Claim(f"carry of {shot} on another day", of, "command day", found[2])
        yield Claim(f"carry of {shot}", of, "command day, before", found[1])
    where = "day card"
    for kind, text in ((f"{where}, of the page", pdf_text(walk, f"/sessions/{day}/day.pdf?{query}")), ("command", "")):
        yield Claim(where, of, kind, _numbers(text or _text_of(printed)))


def _numbers(text: str) -> str:
    """Every number that a card prints with its doubt, in the order printed."""
    return " ".join(f"{carry}±{doubt}" for carry, doubt in re.findall(r"(\d+) ± ?([\d.,]+)", text))


def _text_of(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def _test(walk: Walk, day: int, which: str, asked: Sequence[str], of: str) -> Iterator[Claim]:
    page = walk.text(f"/sessions/{day}/practice?seed={SEED}&balls={CALLED}{which}")
    told = json.loads(ran("practice", *asked, "--seed", str(SEED), "--balls", str(CALLED), "--json", "-"))
    called = re.findall(r'name="called-\d+" value="(\d+)"', page)
    yield Claim("numbers called", of, "practice page", " ".join(called))
    yield Claim("numbers called", of, "command practice", " ".join(str(one["carry"]) for one in told["targets"]))
    misses = re.findall(r'data-miss="([\d.]+)"', page)
    yield Claim("a usual miss", of, "practice page", " ".join(f"{float(one):.0f}" for one in misses[:1]))
    if round(10 * told["targets"][0]["possible_miss"]) % 10 != 5:  # told to a tenth, which may be rounded already
        yield Claim("a usual miss", of, "command practice", f"{told['targets'][0]['possible_miss']:.0f}")


def _wedges(walk: Walk, day: int, which: str, asked: Sequence[str], of: str) -> Iterator[Claim]:
    page = walk.text(f"/sessions/{day}/wedges?have={which}")
    rows = re.findall(r'<th scope="row">([^<]*)</th><td class="lofts">([^<]*)</td>\s*<td class="num">(\d+)', page)
    told = json.loads(ran("wedges", *asked, "--json", "-"))
    for name, lofts, gaps in rows:
        yield Claim(f"wedges {name}", of, "wedges page", f"{lofts}, {gaps} %")
    yield from _sets(
        [("in the bag now", told["now"]), *((f"best {len(one['lofts'])}", one) for one in told["best"])], of
    )


def _sets(sets: Sequence[tuple[str, dict[str, Any]]], of: str) -> Iterator[Claim]:
    for name, one in sets:
        lofts = ", ".join(map(str, one["lofts"]))
        yield Claim(f"wedges {name}", of, "command wedges", f"{lofts}, {100 * one['share_in_gaps']:.0f} %")


def _cards(walk: Walk, day: int, which: str, asked: Sequence[str], of: str) -> Iterator[Claim]:
    made = walk.folder / "card-asked.pdf"
    ran("card", *asked, "-o", str(made))
    printed = {"command card": _text_of(made), "card page": pdf_text(walk, f"/sessions/{day}/card.pdf?{which[1:]}")}
    for where, text in printed.items():
        yield from card_told(text, of, where)
        yield from _dates(text, f"card of {of}", where)
        if "piles cannot show them" in text:
            yield Claim("mishits", of, where, "not known")
        elif found := re.search(r"Not good: [^)]*\)", text):
            yield Claim("mishits", of, where, found[0])


def _spread(walk: Walk, day: int, which: str, asked: Sequence[str], of: str) -> Iterator[Claim]:
    page = walk.text(f"/sessions/{day}/spread?{which[1:]}")
    row = r'<th scope="row">([^<]*)</th><td class="num">([\d.,]+)</td><td>(\d+-\d+) (?:yd|m)</td>'
    for shot, spread, lands in re.findall(row, page):
        yield Claim(f"spread of {shot}", of, "spread page", spread)
        yield Claim(f"range of {shot}", of, "spread page", lands)
    for cell in json.loads(ran("spread", *asked, "--json", "-"))["cells"]:
        if round(100 * cell["spread_percent"]) % 10 != 5:
            name = f"spread of {cell['club']} {cell['swing']}"
            yield Claim(name, of, "command spread", f"{cell['spread_percent']:.1f}")


def _recheck(walk: Walk, day: int, table: str, player: str) -> Iterator[Claim]:
    asked = [table_of(walk, table), *plan_of(walk, day), "--show", unit_of(walk, day)]
    for command in ("recheck", "chart"):
        yield from _verdict_told(ran(command, *asked), f"recheck of {player}", f"command {command}")


def _verdict_told(text: str, of: str, where: str) -> Iterator[Claim]:
    plain = " ".join(text.split())
    kind = next((kind for words, kind in KINDS.items() if words in plain), "")
    shift = re.search(r"\): ([+−-]?\d+) ± (\d+)", plain)
    yield Claim("moved or not", of, where, f"{kind} {shift[1] if shift else ''}".strip())


def _clinics(walk: Walk) -> Iterator[Claim]:
    """The wall of each clinic, and what its print says of each child."""
    with Store(walk.folder) as store:
        kept = Clinics(store).newest()
    for clinic in kept:
        wall = walk.text(f"/clinics/{clinic.id}")
        for day in clinic.sessions:
            child = re.search(rf'<li class="kid[^>]*><a href="/bucket/{day}\?.*?</li>', wall, re.S)
            assert child, day
            yield from _child(child[0], f"day {day}", clinic.swings)
        printed = _printed(walk, clinic.id)
        for day in clinic.sessions:
            player = walk.days[day]
            sheet = " ".join(one for one in printed if player in one)
            yield Claim("child printed", f"day {day}", "print of the clinic", str(bool(sheet)))
            yield Claim("child printed", f"day {day}", "the wall", "True")
            if found := re.search(r"Mishits: (\d+) of (\d+) ball", sheet):
                yield Claim("mishits counted", f"day {day}", "print of the clinic", f"{found[1]} of {found[2]}")
            yield from card_told(sheet, f"day {day}", "print of the clinic")


def _child(child: str, of: str, swings: Sequence[str]) -> Iterator[Claim]:
    where = "the wall"
    for row in re.findall(r'<tr><th scope="row">(.*?)</tr>', child, re.S):
        club = _plain(row.partition("<span")[0])
        for swing, cell in zip(swings, re.findall(r"<td>(.*?)</td>", row, re.S), strict=True):
            if found := re.search(r"<b>(\d+)</b> <small>±([\d.,]+)</small>.*?aria-label=\"(\d+) ball", cell, re.S):
                yield Claim(f"carry of {club} {swing}", of, where, found[1])
                yield Claim(f"± of {club} {swing}", of, where, found[2])
                yield Claim(f"balls of {club} {swing}", of, where, found[3])
    then = _plain(child.partition('<p class="then')[2].partition(">")[2])
    if "Enough for today" in then:
        yield Claim("enough", of, where, "yes")
    elif found := re.search(r"Next: (\S+ \S+)", then):
        yield Claim("enough", of, where, "no")
        yield Claim("next", of, where, found[1])


def _printed(walk: Walk, clinic: int) -> list[str]:
    """The leaves of a clinic's print, as text."""
    asked = str(walk.client.post(f"/clinics/{clinic}/print").url)
    until = time.monotonic() + 300
    while "It is ready." not in walk.text(asked):
        assert time.monotonic() < until, "the print was never made"
        time.sleep(0.1)
    content = walk.client.get(f"{asked}/file").content
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(content)).pages]
