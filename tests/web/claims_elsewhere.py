"""What commands, prints and the interface for programs claim of a walked store: the same questions as pages answer, asked elsewhere.

The commands read what a coach would give them: the table of balls that the pages hand out, of a day and of all days.
"""

import datetime
import io
import json
import re
from collections.abc import Iterator, Sequence
from html import unescape
from typing import Any
from urllib.parse import quote

from click.testing import CliRunner
from pypdf import PdfReader
from tests.web.claims import Claim, Walk, _advice, _dates, _plain, _section, _yes

from threequarter.cli.main import group
from threequarter.store.people.plans import Plans
from threequarter.store.store import Store

THOUSANDTH = 0.0011
"""JSON is told to a thousandth: of a half of a yard nobody can say which way it was rounded before."""


def elsewhere(walk: Walk) -> Iterator[Claim]:
    """Everything that commands, prints and the interface say."""
    for day, player in walk.days.items():
        alone = sum(other == player for other in walk.days.values()) == 1
        whole = f"day {day}" if alone else f"all days of {player}"
        yield from _commands(walk, day, f"/sessions/{day}/balls.csv", f"day {day}")
        yield from _counts(walk, day)
        yield from _interface(walk, day)
        yield from _shot_pages(walk, day)
        yield from _lesson(walk, day)
        yield from _home(walk, day, whole)
        yield from _card(walk, day, whole)
    for player in dict.fromkeys(walk.days.values()):
        days = [day for day, other in walk.days.items() if other == player]
        of = f"day {days[0]}" if len(days) == 1 else f"all days of {player}"
        if player not in walk.archived:
            yield from _commands(walk, days[0], f"/players/{quote(player)}/balls.csv", of)
        yield from _worktop(walk, walk.text(f"/players/{quote(player)}"), of, "player page")
        if len(days) > 1:
            yield from _over_days(walk, player, days)
    for day in walk.days:
        yield from _worktop(walk, walk.text(f"/sessions/{day}"), f"day {day}", "chart page")


def _over_days(walk: Walk, player: str, days: Sequence[int]) -> Iterator[Claim]:
    """The mishits of each date among the days of a player."""
    told = [(day, walk.client.get(f"/api/sessions/{day}").json()["held_on"]) for day in days]
    table = walk.text(f"/players/{quote(player)}/days")
    for day, held_on in told:
        date = datetime.date.fromisoformat(held_on)
        row = re.search(rf'<th\s+scope="row">{date.day} {date:%b %Y}</th>(.*?)</tr>', table, re.S)
        found = re.search(r"(\d+) of (\d+): [\d.]+ %", row[1]) if row else None
        if found and [one for _day, one in told].count(held_on) == 1:
            yield Claim("mishits counted", f"day {day}", "days of the player", f"{found[1]} of {found[2]}")


def ran(*arguments: str) -> str:
    """What a command prints."""
    done = CliRunner().invoke(group, list(arguments), catch_exceptions=False)
    assert done.exit_code == 0, (arguments, done.output)
    return done.output


def plan_of(walk: Walk, day: int) -> list[str]:
    """The plan of a day's player as a command takes it."""
    with Store(walk.folder) as store:
        plan = Plans(store).of_session(day)
    if plan is None:
        return []
    parts = [", ".join("=".join((one.label, *one.other_names)) for one in part) for part in (plan.clubs, plan.swings)]
    return ["--plan", ": ".join(parts)] if all(parts) else []


def unit_of(walk: Walk, day: int) -> str:
    """The unit that the pages show a day in."""
    unit: str = walk.client.get(f"/sessions/{day}/chart.json").json()["unit"]
    return unit


def table_of(walk: Walk, address: str) -> str:
    """A table of balls as the pages hand it out, as a file; returns its path."""
    table = walk.folder / f"asked-{quote(address, safe='')}.csv"
    table.write_bytes(walk.client.get(address).content)
    return str(table)


def _commands(walk: Walk, day: int, address: str, of: str) -> Iterator[Claim]:
    asked = [table_of(walk, address), *plan_of(walk, day), "--show", unit_of(walk, day)]
    yield from _chart_told(json.loads(ran("chart", *asked, "--json", "-")), of, "command chart")
    yield from _next_told(json.loads(ran("next", *asked, "--json", "-")), of, "command next")
    yield from _advice(ran("next", *asked), of, "command next in words")
    yield from _mishits(" ".join(ran("chart", *asked).split()), of, "command chart in words")


def _chart_told(told: dict[str, Any], of: str, where: str) -> Iterator[Claim]:
    for cell in told["cells"]:
        shot = f"{cell['club']} {cell['swing']}"
        yield Claim(f"carry of {shot}", of, where, str(round(cell["stock_carry"])))
        yield Claim(f"balls of {shot}", of, where, str(cell["balls"]))
        ends = [cell[f"predictive90_{end}"] for end in ("low", "high")]
        if all(abs(end % 1 - 0.5) > THOUSANDTH for end in ends):
            yield Claim(f"range of {shot}", of, where, "-".join(str(round(end)) for end in ends))
    yield Claim("gaps", of, where, str(len(told["meaning"]["holes"])))
    yield Claim("doubles", of, where, str(len(told["meaning"]["doubles"])))


def _next_told(told: dict[str, Any], of: str, where: str) -> Iterator[Claim]:
    yield Claim("enough", of, where, _yes(told["stop"]))
    if not told["stop"]:
        yield Claim("balls to go", of, where, str(told["balls_to_go"]))
        for first in told["next"][:1]:
            yield Claim("next", of, where, f"{first['club']} {first['swing']}")


def _mishits(text: str, of: str, where: str) -> Iterator[Claim]:
    """Mishits as counted: "1 of 14 balls", and as expected: "Expect about 9 %"."""
    if found := re.search(r"Mishits: (\d+) of (\d+) ball", text):
        yield Claim("mishits counted", of, where, f"{found[1]} of {found[2]}")
    if found := re.search(r"[Oo]f the next balls expect about ([\d.,]+) %", text):
        yield Claim("mishits expected", of, where, found[1])


def _counts(walk: Walk, day: int) -> Iterator[Claim]:
    """How many balls a day has, wherever that is told."""
    of = f"day {day}"
    told = walk.client.get(f"/api/sessions/{day}").json()
    yield Claim("balls", of, "interface", str(told["balls"]))
    player = quote(walk.days[day])
    for where, address in (("first page", "/"), ("days of the player", f"/players/{player}/days"), ("kept", "/bucket")):
        for line in re.findall(rf'<a href="/(?:sessions|bucket)/{day}"[^>]*>.*?</a>', walk.text(address), re.S):
            if found := re.search(r"(\d+) (?:balls?|Ball|Bälle)\b", _plain(line)):
                yield Claim("balls", of, where, found[1])
            yield from _dates(_plain(line), of, where)


def _interface(walk: Walk, day: int) -> Iterator[Claim]:
    of, unit_m = f"day {day}", {"yd": 0.9144, "m": 1.0}
    unit = walk.client.get(f"/sessions/{day}/chart.json").json()["unit"]
    for cell in walk.client.get(f"/api/sessions/{day}/chart").json()["cells"]:
        carry, shot = cell["stock_carry_m"] / unit_m[unit], f"{cell['club']} {cell['swing']}"
        yield Claim(f"carry of {shot}", of, "interface, in metres", str(round(carry)))
        yield Claim(f"balls of {shot}", of, "interface", str(cell["balls"]))


def _shot_pages(walk: Walk, day: int) -> Iterator[Claim]:
    """The page of one shot of a day."""
    told = walk.client.get(f"/sessions/{day}/chart.json").json()
    yield from _chart_told(told, f"day {day}", "chart.json")
    for cell in told["cells"][:2]:
        shot = f"{cell['club']} {cell['swing']}"
        page = walk.text(f"/sessions/{day}?club={quote(cell['club'])}&swing={quote(cell['swing'])}")
        yield from _shot_panel(walk, page, f"day {day}", "chart page, its shot", shot)


def _shot_panel(walk: Walk, page: str, of: str, where: str, shot: str) -> Iterator[Claim]:
    panel = re.search(r'<section class="shot.*?</header>', page, re.S)
    if panel is None or f'id="shot-name">{shot}<' not in unescape(panel[0]):
        return
    if found := re.search(r"<b>(\d+)</b> ±([\d.,]+)", panel[0]):
        yield Claim(f"carry of {shot}", of, where, found[1])
        yield Claim(f"± of {shot}", of, where, found[2])
    if found := re.search(r": (\d+)-(\d+) (?:yd|m)<", panel[0]):
        yield Claim(f"range of {shot}", of, where, f"{found[1]}-{found[2]}")
    if link := re.search(r'href="(/sessions/[^"]*/one\?[^"]*)#fly"', page):
        yield from _flight(_plain(walk.text(link[1])), of, f"{where}, its flight", shot)


def _flight(text: str, of: str, where: str, shot: str) -> Iterator[Claim]:
    """The page that a shot's flight is looked at on."""
    if found := re.search(re.escape(shot) + r": (\d+) ± ([\d.,]+) (?:yd|m)\b", text):
        yield Claim(f"carry of {shot}", of, where, found[1])
        yield Claim(f"± of {shot}", of, where, found[2])
    if found := re.search(r"land at (\d+-\d+) (?:yd|m); (\d+) balls?\.", text):
        yield Claim(f"range of {shot}", of, where, found[1])
        yield Claim(f"balls of {shot}", of, where, found[2])


def _worktop(walk: Walk, page: str, of: str, where: str) -> Iterator[Claim]:
    """The matrix by what is read aloud of each cell, what it means, the mishits."""
    cells = re.findall(r'aria-label="([^":]+): (\d+) ± ([\d.,]+)(\??), (?:(\d+) balls?|not hit)"', page)
    if "Enough." in _plain(_section(page, "next")):
        yield Claim("shots marked ?", of, where, str(sum(bool(unsure) for _s, _c, _d, unsure, _b in cells)))
    for shot, carry, doubt, unsure, balls in cells:
        yield Claim(f"less sure: {shot}", of, where, _yes(bool(unsure)))
        if not balls:
            continue
        yield Claim(f"carry of {shot}", of, where, carry)
        yield Claim(f"± of {shot}", of, where, doubt)
        yield Claim(f"balls of {shot}", of, where, balls)
    yield from _mishits(_plain(_section(page, "means")), of, where)
    if name := re.search(r'id="shot-name">([^<]+)<', page):
        yield from _shot_panel(walk, page, of, f"{where}, its shot", unescape(name[1]))


def _lesson(walk: Walk, day: int) -> Iterator[Claim]:
    page, of, where = walk.text(f"/sessions/{day}/lesson"), f"day {day}", "lesson"
    head = re.search(r'<header class="lesson-head">.*?</header>', page, re.S)
    yield from _dates(_plain(head[0]) if head else "", of, where)
    hit = re.search(r'<section class="hit-next.*?</section>', page, re.S)
    yield from _advice(hit[0] if hit else "", of, where)
    for club, swing, inner in re.findall(
        r'/one\?club=([^&"]+)&(?:amp;)?swing=([^"&]+)&(?:amp;)?of=day"\s+class="hit">(.*?)</a>', page, re.S
    ):
        text, shot = _plain(inner), f"{_name(club)} {_name(swing)}"
        if found := re.match(r"(\d+) ±([\d.,]+) (\d+) ", text):
            yield Claim(f"carry of {shot}", of, where, found[1])
            yield Claim(f"± of {shot}", of, where, found[2])
            yield Claim(f"balls of {shot}", of, where, found[3])


def _name(quoted: str) -> str:
    from urllib.parse import unquote_plus

    return unquote_plus(quoted)


def pdf_text(walk: Walk, address: str) -> str:
    """What stands on a PDF."""
    pdf = walk.client.get(address)
    assert pdf.content.startswith(b"%PDF"), (address, pdf.text[:200])
    return " ".join(" ".join(one.extract_text() for one in PdfReader(io.BytesIO(pdf.content)).pages).split())


def _home(walk: Walk, day: int, of: str) -> Iterator[Claim]:
    """The page to take home as it is printed, and as a page."""
    home = pdf_text(walk, f"/sessions/{day}/report.pdf")
    if found := re.search(r"Mishits: (\d+) of (\d+) ball", home):
        yield Claim("mishits counted", of, "page to take home, printed", f"{found[1]} of {found[2]}")
    if found := re.search(r"Take-home page, (\d+ \w+ \d+)", home):
        yield from _dates(found[1], f"day {day}", "page to take home, printed")


def _card(walk: Walk, day: int, of: str) -> Iterator[Claim]:
    yield from card_told(pdf_text(walk, f"/sessions/{day}/card.pdf"), of, "card")


def card_told(card: str, of: str, where: str) -> Iterator[Claim]:
    """What a pocket card says: its numbers by shot, how many balls."""
    if found := re.search(r"(\d+) balls?, ", card):
        yield Claim("balls charted", of, where, found[1])
    far = card.partition("far ")[2].partition(" near;")[0]
    for carry, shot in re.findall(r"(\d+) (\S+ \D+?) ±[\d.,]+", far):
        yield Claim(f"carry of {shot}", of, where, carry)
