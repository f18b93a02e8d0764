"""Every text of every page goes through the catalogue: told in a made-up language, nothing readable is left but what
people typed.

The made-up language writes each letter of a text in its full-width form and leaves values alone, so a text that was
never looked up, or a value that was put in untranslated, still stands there in plain letters.
"""

import json
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from gettext import NullTranslations
from html.parser import HTMLParser
from pathlib import Path
from typing import Final

import pytest
from babel.messages.pofile import read_po
from starlette.testclient import TestClient

from swing_support import checked
from threequarter import languages
from threequarter.answers.swing import swings_answer
from threequarter.golf.message import Message
from threequarter.store.clips.clips import Clips
from threequarter.store.store import Store
from threequarter.swing.measure import Swing
from threequarter.web.app import make_app

pytestmark = pytest.mark.slow

HOST: Final = "127.0.0.1:8754"
KEPT: Final = re.compile(r"%\(\w+\)s|%%|\{\w*(?:![rs])?(?::[^}]*)?\}|<[^<>]+>|&#?\w+;")
"""What is no text within a text: values, tags, entities."""
WIDE: Final = {code: code + 0xFEE0 for code in (*range(0x41, 0x5B), *range(0x61, 0x7B))}
SPOKEN: Final = ("aria-label", "placeholder", "title", "alt", "aria-description", "aria-valuetext")
"""Attributes that a person reads or hears."""
TYPED: Final = frozenset(
    {
        "Robin",
        "Sedge",
        "Wren",
        "Ivo",
        "Quill",
        "demo",
        "bucket",
        "csv",
        "clip",
        "backups",
        "mp",
        "waist",
        "chest",
        "shoulder",
        "knee",
        "full",
        "GW",
        "SW",
        "LW",
        "nobody",
        "between",
        "Harrowmere",
    }
)
"""What came in with the balls of this test: names, swings, files."""
SYMBOLS: Final = frozenset(
    {
        "threequarter",
        "yd",
        "m",
        "s",
        "ms",
        "km",
        "h",
        "mph",
        "ft",
        "C",
        "F",
        "hPa",
        "MB",
        "CSV",
        "JSON",
        "XLSX",
        "Parquet",
        "PDF",
    }
)
LABEL: Final = re.compile(r"\b(?=[a-f]*\d)[0-9a-f]{6,}\b")
"""A code that finds a line of the log."""
MOST_ALIKE: Final = 3
"""So many pages of one kind are looked at."""
WORD: Final = re.compile(r"[A-Za-z]+")


def in_wide_letters(text: str) -> str:
    """A text in the made-up language."""
    out, at = [], 0
    for match in KEPT.finditer(text):
        out += [text[at : match.start()].translate(WIDE), match[0]]
        at = match.end()
    return "".join([*out, text[at:].translate(WIDE)])


class MadeUp(NullTranslations):
    """A catalogue that knows the texts of the German one: a text that was never collected stays as it is."""

    def __init__(self) -> None:
        super().__init__()
        with (Path(languages.__file__).parent / "de.po").open("rb") as file:
            ids = [entry.id for entry in read_po(file, locale="de")]
        self.known = {text for one in ids for text in ((one,) if isinstance(one, str) else one)}

    def gettext(self, message: str) -> str:
        return in_wide_letters(message) if message in self.known else message

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        return self.gettext(msgid1 if n == 1 else msgid2)


class Read(HTMLParser):
    """What a page says, and where it leads. Names of languages (with a `lang` of their own) and code are left out."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []
        self.links: list[str] = []
        self._silent: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        found = dict(attrs)
        if tag == "a" and found.get("href"):
            self.links.append(str(found["href"]))
        if (
            tag not in ("html",)
            and ("lang" in found or tag in ("script", "style", "code"))
            and tag not in ("input", "meta", "link")
        ):
            self._silent.append(tag)
            return
        self.said += [str(found[name]) for name in SPOKEN if found.get(name)]
        self.said += [str(value) for name, value in attrs if name.startswith("data-says") and value]

    def handle_endtag(self, tag: str) -> None:
        if self._silent and self._silent[-1] == tag:
            self._silent.pop()

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self.said.append(data)


def untold(page: str) -> list[str]:
    """The pieces of a page that hold words no catalogue was asked for."""
    read = Read()
    read.feed(page)
    pieces = read.said + [
        text
        for block in re.findall(r'<script type="application/json"[^>]*>(.*?)</script>', page, re.S)
        for text in _texts(json.loads(block))
    ]
    return [
        " ".join(piece.split())
        for piece in pieces
        if any(
            word not in TYPED | SYMBOLS and len(word) > 1 for word in WORD.findall(LABEL.sub(" ", KEPT.sub(" ", piece)))
        )
    ]


def _texts(value: object) -> list[str]:
    """The texts of a JSON block that hold a space, so are no names of ours."""
    if isinstance(value, dict):
        return [text for one in value.values() for text in _texts(one)]
    if isinstance(value, list):
        return [text for one in value for text in _texts(one)]
    return [value] if isinstance(value, str) and " " in value else []


def _shape(path: str) -> str:
    """A page apart from which session, ball or unit it shows."""
    return re.sub(r"(?<==)[^&]*", "", re.sub(r"\d+", "1", path))


@pytest.fixture
def client(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[TestClient]:
    made_up = MadeUp()
    monkeypatch.setattr(languages, "catalogue", lambda code: made_up if code == "de" else NullTranslations())
    app = make_app(tmp_path, frozenset({HOST}))
    with TestClient(app, base_url=f"http://{HOST}", headers={"accept-language": "de"}) as made:
        yield made


def test_the_made_up_language_leaves_values_alone() -> None:
    assert in_wide_letters("%(count)s balls, 90 %% <b>sure</b>") == "%(count)s ｂａｌｌｓ, 90 %% <b>ｓｕｒｅ</b>"
    assert untold("<p>ｂａｌｌｓ 12 yd Robin</p><p>never asked</p>") == ["never asked"]
    assert untold('<p aria-label="left out">x</p>') == ["left out"]


def a_measured_clip(data: Path) -> int:
    """A clip of the first session as it stands after its analysis, said in English as an earlier day would have."""
    clips = Clips(Store.open(data))
    clip = clips.begin("clip.mp4", 4, session_id=1, felt="chest")
    swing = Swing(
        t_takeaway_s=1.0,
        t_top_s=1.8,
        t_impact_s=2.1,
        t_finish_s=2.6,
        lead_arm_top_deg=80.0,
        lead_arm_finish_deg=70.0,
        hand_height_top=0.7,
        hand_height_finish=0.3,
        impact_over_peak=0.8,
    )
    others = (replace(swing, hand_height_top=0.2), replace(swing, t_takeaway_s=None, lead_arm_finish_deg=95.0))
    found = checked(swing, *others, warnings=(Message("swing.shakes"),))
    clips.mark(clip, "running")
    clips.mark(clip, "done", progress=1.0, answer=swings_answer(found, ["chest"]))
    return clip


def test_every_page_that_can_be_reached_is_told_by_the_catalogue(client: TestClient, tmp_path: Path) -> None:
    client.post("/demo")
    client.post("/sessions/1/player", data={"name": "Robin Sedge"})
    client.post("/players/Robin Sedge/notes", data={"text": "Ivo"})
    client.post(
        "/type", data={"text": "54 waist 51 53 fat 38 52\n54 chest 62 60 64\n54 waist 49", "unit": "yd", "by": "laser"}
    )
    clip = a_measured_clip(tmp_path)
    look = client.post(
        "/look",
        files={"file": ("demo.csv", "選手,番手,スイング,キャリー (yd)\nWren,54,waist,41\nIvo,54,waist,43\n".encode())},
        follow_redirects=False,
    ).headers["location"]
    kept = client.get(look).text
    client.post(str(re.findall(r'action="(/keep/[^"]+)"', kept)[0]), data={"ground": "normal"})
    waiting = [
        "/",
        look,
        "/sessions/1/day?temp_c=9&wind_mps=5&wind_from=left&ground=firm",
        "/sessions/1/shot?to=62&wind_mps=4&wind_from=ahead&trouble=short&kind=water",
        "/sessions/1/recheck?new=1",
        "/players?q=zzz",
        "/sessions/1/wedges?have=50,54",
        "/players/nobody",
        "/nowhere",
        f"/clips/{clip}",
        "/language",
        "/sessions/1/shot?to=x",
    ]
    seen: set[str] = set()
    shapes: Counter[str] = Counter()
    wrong: dict[str, list[str]] = {}
    while waiting:
        address = waiting.pop()
        path = address.partition("#")[0]
        if (
            path in seen
            or shapes[shape := _shape(path)] >= MOST_ALIKE
            or not path.startswith("/")
            or re.search(r"\.(pdf|csv|json|xlsx|parquet|zip|js|css)|/original|/static/|format=", path)
        ):
            continue
        seen.add(path)
        shapes[shape] += 1
        answer = client.get(path)
        if "text/html" not in answer.headers.get("content-type", ""):
            continue
        read = Read()
        read.feed(answer.text)
        waiting += [link if not link.startswith("?") else path.partition("?")[0] + link for link in read.links]
        if found := untold(answer.text.replace(str(tmp_path), "")):
            wrong[path] = found
    assert not wrong, json.dumps(wrong, indent=1, ensure_ascii=False)
    assert len(seen) > 25, seen
