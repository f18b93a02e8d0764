"""Makes the pictures of the README and of docs/pages.md from the product itself (needs pdftoppm and Chromium).

    python scripts/make_pictures.py             writes those that look different from the kept ones, and says which
    python scripts/make_pictures.py --compare   writes nothing, says which pages look different now
    python scripts/make_pictures.py player chart    only these pages

A picture counts as different from half a percent of its points on: days and codes change from run to run.
"""

import re
import subprocess
import sys
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

import av
import how_it_looks
import numpy as np

ROOT: Final = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT / "tests"))
from browser_support import ARGS, CHROMIUM, Server  # noqa: E402

DOCS: Final = ROOT / "docs"
TARGET: Final = DOCS / "pictures"
LATER: Final = ROOT / "tests" / "data" / "swings" / "o10_indoor_30fps.mp4"
DIFFERENT: Final = 0.005
TALLEST: Final = {"laptop": 1900, "phone": 1700}
SIZES: Final = {"laptop": {"width": 1280, "height": 800}, "phone": {"width": 390, "height": 844}}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shown:
    """A page in the docs: its address, what it is for, and how it is shown."""

    name: str
    path: str
    title: str
    says: str
    looks: tuple[str, ...] = ("laptop light",)
    whole: bool = True
    """The whole page, else its first screen."""


PAGES: Final = (
    Shown(
        name="first",
        path="/players/Robin Sedge",
        title="A player at a glance",
        says="How far every wedge goes with every swing length, how sure that is, and whether it is enough.",
        looks=("laptop light",),
        whole=False,
    ),
    Shown(
        name="start",
        path="/",
        title="Today",
        says="What is going on and its next ball, three ways to start, who is due, the latest players with their yardsticks.",
        looks=("laptop light", "phone light"),
    ),
    Shown(
        name="chart",
        path="/sessions/1",
        title="The chart",
        says="How far, how sure, what to hit next or enough; gaps hatched, doubles tied; a tapped shot is made of its balls.",
        looks=("laptop light", "laptop dark", "phone light"),
    ),
    Shown(
        name="ball",
        path="/sessions/1?ball=7#ball",
        title="One ball",
        says="Touch a ball: leave it out with a reason, bring it back, correct it; the chart follows at once.",
    ),
    Shown(
        name="shot-one",
        path="/sessions/1/one?club=SW 54&swing=chest",
        title="One shot",
        says="All balls of one shot, its flight, its swings on film.",
    ),
    Shown(
        name="bucket",
        path="/bucket/1",
        title="Hitting balls",
        says="Keys for one thumb on the range; balls stay on the phone until the server has them.",
        looks=("phone light", "phone dark"),
    ),
    Shown(
        name="lesson",
        path="/sessions/2/lesson",
        title="A lesson",
        says="One screen: five steps with the clock, what to hit next, the matrix that fills, the last swing beside its ball, one line for balls, notes, a table, a clip.",
        looks=("laptop light", "phone light"),
    ),
    Shown(
        name="report",
        path="/sessions/2/report",
        title="Take-home page",
        says="For the player and the parents: distances, swings, what to work on, next week. The same goes on paper.",
        looks=("laptop light", "phone light"),
    ),
    Shown(
        name="clip",
        path="/clips/1",
        title="The swing check",
        says="How far back and through, tempo, hands that slow down, with pictures and your corrections.",
    ),
    Shown(
        name="players",
        path="/players",
        title="Players",
        says="Search names and notes; see who is due a recheck.",
    ),
    Shown(
        name="player",
        path="/players/Robin Sedge",
        title="One player",
        says="The standing chart of all days, whether it still holds, days, carry through time, the plan, clips, notes; merge, archive.",
        looks=("laptop light", "phone light"),
    ),
    Shown(
        name="swings",
        path="/players/Robin Sedge/swings",
        title="The swings of a player",
        says="The swing lengths, two filmed swings then and now, and every clip.",
    ),
    Shown(
        name="days",
        path="/players/Robin Sedge/days",
        title="The days of a player",
        says="What changed over the days beyond chance: mishits, spread, carry, match; each with its sentence and table.",
        looks=("laptop light", "phone light"),
    ),
    Shown(
        name="pooled",
        path="/players/Robin Sedge/pooled",
        title="One chart of several days",
        says="The days you choose, brought to the same air and pooled, each compared with all of them.",
    ),
    Shown(
        name="which-shot",
        path="/sessions/1/shot?to=57",
        title="Which shot",
        says="For practice and planning: every shot played to a number, a wind, a green.",
        looks=("laptop light",),
    ),
    Shown(
        name="day",
        path="/sessions/1/day?temp_c=9&wind_mps=5&wind_from=ahead",
        title="Another day",
        says="The chart moved to tomorrow's weather, and what wind, slope and warmth do.",
    ),
    Shown(
        name="round",
        path="/sessions/1/round",
        title="Round view",
        says="Only the card: what you may look at during a round.",
        looks=("phone light", "phone dark"),
    ),
    Shown(
        name="practice",
        path="/sessions/1/practice?seed=4",
        title="Call a number",
        says="One number at a time, big, on the keys; scored against the player's own spread. Also a ladder of lengths and three in a row.",
        looks=("phone light",),
    ),
    Shown(
        name="game",
        path="/game?who=Ida Fern&who=Max Birch&seed=3",
        title="A game",
        says="For two to eight on one phone: everyone gets numbers from their own chart; whoever beats their own usual by most wins.",
        looks=("phone light",),
    ),
    Shown(
        name="clinic",
        path="/clinics/1",
        title="The wall of a clinic",
        says="A matrix for each player that fills, a pip for each ball; a tap leads to the keys and back.",
    ),
    Shown(
        name="history",
        path="/history",
        title="History and bin",
        says="What you did, each with its undo; what you delete stays thirty days.",
    ),
)


def main() -> None:
    TARGET.mkdir(parents=True, exist_ok=True)
    only = {word for word in sys.argv[1:] if not word.startswith("-")}
    keep = "--compare" not in sys.argv
    with tempfile.TemporaryDirectory() as scratch:
        if keep and not only:
            prints(Path(scratch))
        changed = [name for name, shot in shots(Path(scratch), only) if settle(TARGET / name, shot, keep)]
    if keep and not only:
        (DOCS / "pages.md").write_text(page_of_pages(), encoding="utf-8")
        stale()
    if keep and (not only or "looks" in only):
        (DOCS / "how-it-looks.md").write_text(how_it_looks.page_of_looks(), encoding="utf-8")
    print("Different now: " + (", ".join(changed) or "none"))


def prints(scratch: Path) -> None:
    """The chart and the card of the README."""
    subprocess.run(
        [sys.executable, "-m", "threequarter", "demo", "--out", scratch], check=True, stdout=subprocess.DEVNULL
    )
    svg = (scratch / "chart.svg").read_text(encoding="utf-8")
    ground = '<rect width="100%" height="100%" fill="#fffdf7"/>'
    framed = svg.replace("</desc>", "</desc>" + ground).replace("<svg ", '<svg color="#14130f" ', 1)
    (TARGET / "chart.svg").write_text(framed, encoding="utf-8")
    subprocess.run(["pdftoppm", "-r", "150", "-png", str(scratch / "card.pdf"), str(TARGET / "card")], check=True)


def shots(scratch: Path, only: set[str]) -> list[tuple[str, bytes]]:
    """Every page in each of its looks: file name, PNG with few colours."""
    from playwright.sync_api import sync_playwright

    made = []
    with Server(scratch / "data") as server, sync_playwright() as play:
        browser = play.chromium.launch(executable_path=CHROMIUM, args=ARGS)
        fill(
            browser,
            server.address,
            film=not only or bool(only & {"lesson", "report", "clip", "shot-one", "swings", "looks"}),
        )
        for shown in PAGES:
            for look in shown.looks if not only or shown.name in only else ():
                size, scheme = look.split()
                page = browser.new_page(viewport=SIZES[size], color_scheme=scheme, reduced_motion="reduce")
                answer = page.goto(server.address + shown.path)
                page.wait_for_load_state("networkidle")
                if shown.whole:
                    tall = min(page.evaluate("document.documentElement.scrollHeight"), TALLEST[size])
                    page.set_viewport_size({**SIZES[size], "height": max(tall, SIZES[size]["height"])})
                page.wait_for_timeout(300)
                if answer is None or not answer.ok:
                    sys.exit(f"{shown.path} answers {answer and answer.status}: no picture is kept of that")
                made.append((f"pages/{shown.name}-{size}-{scheme}.png", few_colours(page.screenshot())))
                page.close()
        if not only or "looks" in only:
            parts = how_it_looks.pictures(browser, server.address)
            made += [(f"looks/{name}", few_colours(shot)) for name, shot in parts]
        browser.close()
    return made


def stale() -> None:
    """Removes pictures of pages that are no longer shown."""
    shown = {f"{one.name}-{look.replace(' ', '-')}.png" for one in PAGES for look in one.looks}
    for kept in (TARGET / "pages").glob("*.png"):
        if kept.name not in shown:
            kept.unlink()


def fill(browser: Any, address: str, *, film: bool) -> None:
    """The demo's three days, its film measured and a later one beside it (if wanted), a lesson that runs, and a clinic of two."""
    page = browser.new_page()
    page.set_default_timeout(300_000)
    page.goto(address)
    page.get_by_role("button", name="Open the demo").click()
    page.wait_for_url(re.compile("/players/"))
    page.goto(f"{address}/lesson")
    page.get_by_label("Whose lesson").fill("Wren Sedge")
    page.get_by_role("button", name="Start the lesson").click()
    page.get_by_label("Balls in one line").fill("54 waist 41 43 42 fat 31 44")
    page.get_by_role("button", name="Save", exact=True).click()
    page.wait_for_url(re.compile("#line"))
    clinic(page, address)
    if film:
        page.goto(f"{address}/players/Robin Sedge/swings")
        page.get_by_role("button", name="Measure the clip of the demo's lesson").click()
        page.get_by_role("table").first.wait_for()
        page.goto(f"{address}/clips/new?session=3")
        page.set_input_files("#clip-file", str(LATER))
        page.wait_for_timeout(500)
        if page.url.endswith("session=3"):
            page.get_by_role("button", name="Measure this clip").click()
        page.wait_for_url(re.compile(r"/clips/\d+$"))
        page.get_by_role("table").first.wait_for()
    page.close()


def clinic(page: Any, address: str) -> None:
    """Two children who have hit a few balls each."""
    page.goto(f"{address}/clinic")
    page.get_by_label("Name of the clinic").fill("Juniors, Saturday")
    page.get_by_label("Who is coming").fill("Ida Fern\nMax Birch")
    page.get_by_role("button", name="Start", exact=True).click()
    for session, carries in ((5, (31, 33, 30, 32, 34)), (6, (27, 29, 28, 26, 28))):
        balls = [
            {"key": f"picture-{session}-{n}", "club": "50", "swing": "waist", "carry": carry, "unit": "yd"}
            for n, carry in enumerate(carries)
        ]
        page.request.post(f"{address}/api/sessions/{session}/balls", data={"balls": balls})


def few_colours(png: bytes) -> bytes:
    """The same picture with a palette of 96 colours, a third of the size."""
    import io

    with av.open(io.BytesIO(png), format="png_pipe") as source:
        frame = next(source.decode(video=0))
    graph = av.filter.Graph()
    start = graph.add_buffer(
        width=frame.width, height=frame.height, format=frame.format.name, time_base=frame.time_base
    )
    split, make, use, end = (
        graph.add("split"),
        graph.add("palettegen", "max_colors=96:reserve_transparent=0"),
        graph.add("paletteuse", "dither=none"),
        graph.add("buffersink"),
    )
    start.link_to(split)
    split.link_to(use, 0, 0)
    split.link_to(make, 1, 0)
    make.link_to(use, 0, 1)
    use.link_to(end)
    graph.configure()
    start.push(frame)
    start.push(None)
    drawn = end.pull()
    out = io.BytesIO()
    with av.open(out, "w", format="image2pipe") as target:
        stream = target.add_stream("png", rate=1)
        stream.width, stream.height, stream.pix_fmt = drawn.width, drawn.height, "pal8"
        stream.options = {"compression_level": "9", "pred": "mixed"}
        drawn.pts = 0
        for packet in [*stream.encode(drawn), *stream.encode(None)]:
            target.mux(packet)
    return out.getvalue()


def settle(path: Path, png: bytes, keep: bool) -> bool:
    """Whether a picture differs from the kept one; then it is kept instead, if wanted."""
    if path.exists() and not differs(path.read_bytes(), png):
        return False
    if keep:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(png)
    return True


def differs(before: bytes, after: bytes) -> bool:
    a, b = pixels(before), pixels(after)
    if a.shape != b.shape:
        return True
    return float((np.abs(a.astype(int) - b).max(axis=2) > 40).mean()) > DIFFERENT


def pixels(png: bytes) -> np.ndarray:
    import io

    with av.open(io.BytesIO(png), format="png_pipe") as source:
        return next(source.decode(video=0)).to_ndarray(format="rgb24")


def page_of_pages() -> str:
    """docs/pages.md."""
    lines = [
        "# The pages",
        "",
        "One line on each page, and its picture. The player is invented, the balls are simulated, the clip is rendered. `make pictures` makes this page and its pictures again and says what looks different.",
        "",
    ]
    for shown in PAGES:
        lines += [f"## {shown.title}", "", shown.says, ""]
        for look in shown.looks:
            size, scheme = look.split()
            wide = 720 if size == "laptop" else 260
            lines.append(
                f'<img src="pictures/pages/{shown.name}-{size}-{scheme}.png" width="{wide}" alt="{shown.title}, on a {size}, {scheme}">'
            )
        lines.append("")
    return "\n".join(lines)


if __name__ == "__main__":
    main()
