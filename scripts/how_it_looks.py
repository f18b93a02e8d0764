"""Every part of the pages in every state, as docs/how-it-looks.md and its pictures: taken from the running pages, none drawn by hand.

`make_pictures.py` calls it with a filled server. A part is cut out of the page it stands on; a state (pointed at, focused, pressed) is
forced by the browser, so that a change of the style sheets is seen here as a picture.
"""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

STATIC: Final = Path(__file__).parents[1] / "src" / "threequarter" / "web" / "static"
LOOKS: Final = ("light", "dark", "sun")
WIDE: Final = 1100
PLAYER: Final = "/players/Robin Sedge"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A part: what it is called, the page and the selector it is cut out by, and the states it is shown in besides its own."""

    says: str
    path: str
    selector: str
    states: tuple[str, ...] = ()
    wide: bool = False
    within: int = 0
    """So many of the things around it come along, empty but for it: a row in its list."""


GROUPS: Final = (
    (
        "To press",
        "One solid, leaning button a screen: the next step of the job. Second things are outlined; what cannot be brought back is red.",
        (
            Part(
                says="The one", path="/lesson", selector="main button[type=submit]", states=("hover", "focus-visible")
            ),
            Part(says="Second", path="/kept", selector="main button.outline", states=("hover", "focus-visible")),
            Part(says="Chosen of several", path="/kept", selector="main button.secondary", states=("focus-visible",)),
            Part(says="Deletes", path="/sessions/4/lesson", selector="button.danger", states=("focus-visible",)),
            Part(says="A tile", path="/", selector=".tiles li:nth-child(2)", within=1),
        ),
    ),
    (
        "To type and choose",
        "Fields take the tint of paper and are as wide as what goes in.",
        (
            Part(says="Empty", path="/lesson", selector="#player", states=("focus-visible",), wide=True),
            Part(says="With an example", path="/sessions/1/day", selector="#temp"),
            Part(says="One of several", path="/sessions/1/day", selector="#ground", states=("focus-visible",)),
            Part(says="Entry line of a lesson", path="/sessions/4/lesson", selector=".entry", wide=True),
        ),
    ),
    (
        "Ways",
        "Rows with a one-line promise, never a row of links. The tab in use holds a ball.",
        (
            Part(says="Places within a player", path=PLAYER, selector="nav.tabs", wide=True),
            Part(says="A row", path=f"{PLAYER}/practise", selector="ul.rows li:nth-child(2)", wide=True, within=1),
            Part(says="Steps of a lesson", path="/sessions/4/lesson", selector="ol.steps"),
            Part(says="Ways to practise", path="/sessions/1/practice?seed=4", selector="nav.games", wide=True),
        ),
    ),
    (
        "The answer",
        "The largest thing on the screen. Enough stands in the same place with ink and paper exchanged: seen from two metres without reading.",
        (
            Part(says="Next, in a lesson", path="/sessions/4/lesson", selector=".hit-next", wide=True),
            Part(says="Next, on a chart", path="/players/Wren Sedge", selector=".answer", wide=True),
            Part(says="Enough", path=PLAYER, selector=".answer", wide=True),
            Part(says="A called number", path="/sessions/1/practice?seed=4", selector=".called", wide=True),
        ),
    ),
    (
        "The chart",
        "Ten dots in a capsule are the next ten good balls. Each wedge has an ink and a line style; a gap is hatched, a double tied. Light numbers are forecasts.",
        (
            Part(says="Matrix", path=PLAYER, selector="table.matrix", wide=True),
            Part(says="Matrix with forecasts", path="/players/Wren Sedge", selector="table.matrix", wide=True),
            Part(
                says="A lane on the phone",
                path=PLAYER,
                selector=".lanes li:first-child",
                within=3,
                states=("focus-visible",),
                wide=True,
            ),
            Part(says="One shot", path=PLAYER, selector="#shot", wide=True),
            Part(says="A player of a clinic", path="/clinics/1", selector=".kid:first-child", wide=True, within=1),
            Part(says="Balls: crossed is a mishit", path="/sessions/4/lesson", selector=".last-balls"),
        ),
    ),
    (
        "Told",
        "What was done with the way back; what went wrong and what to do.",
        (
            Part(says="How to read it", path="/sessions/2/report", selector="main .example", wide=True),
            Part(says="What is not there", path="/nothing", selector="main", wide=True),
            Part(says="A caution", path="/", selector="main .caution", wide=True),
        ),
    ),
)

CONTRASTS: Final = (
    ("text", "ink", "paper", 4.5),
    ("text on a sheet", "ink", "sheet", 4.5),
    ("second text", "soft", "paper", 4.5),
    ("second text on a sheet", "soft", "sheet", 4.5),
    ("label of the press button", "press-ink", "press", 4.5),
    ("press button", "press", "paper", 3),
    ("edge of a key or field", "edge", "paper", 3),
    ("focus ring", "ink", "paper", 3),
    ("focus ring on a sheet", "ink", "sheet", 3),
    ("first wedge", "w1", "sheet", 3),
    ("second wedge", "w2", "sheet", 3),
    ("third wedge", "w3", "sheet", 3),
    ("fourth wedge", "w4", "sheet", 3),
)


def pictures(browser: Any, address: str) -> Iterator[tuple[str, bytes]]:
    """The sheet of parts in each look, and the keys of the range: file name, PNG."""
    how = {"viewport": {"width": WIDE, "height": 800}, "reduced_motion": "reduce", "bypass_csp": True}
    page = browser.new_context(**how).new_page()
    groups = [
        (title, says, [one for part in parts for one in _cut(page, address, part)]) for title, says, parts in GROUPS
    ]
    for look in LOOKS:
        page.goto(f"{address}/kept")
        page.emulate_media(color_scheme="dark" if look == "dark" else "light")
        page.evaluate(DRESS, look)
        page.add_style_tag(content=STYLE)
        page.evaluate(LAY, groups)
        _force(page)
        page.wait_for_timeout(600)
        yield f"{look}.png", page.locator("#parts").screenshot()
    page.context.close()
    yield "keys.png", _keys(browser, address)


def _cut(page: Any, address: str, part: Part) -> list[dict[str, Any]]:
    """A part with the style sheets of its page, once for each of its states. Raises AssertionError for one that is no longer there."""
    if page.url != address + part.path.replace(" ", "%20"):
        page.goto(address + part.path)
        page.wait_for_load_state("networkidle")
    found = page.locator(part.selector).first
    assert found.count(), f"{part.selector} is not on {part.path}"
    sheets = page.evaluate("() => [...document.querySelectorAll('link[rel=stylesheet]')].map((one) => one.href)")
    html = found.evaluate(CUT, part.within)
    names = {"": part.says, "hover": f"{part.says}, pointed at", "focus-visible": f"{part.says}, focused"}
    return [
        {"html": html, "sheets": sheets, "says": names[state], "state": state, "wide": part.wide}
        for state in ("", *part.states)
    ]


DRESS: Final = """look => {
  const root = document.documentElement.dataset;
  root.theme = look === "dark" ? "dark" : "light";
  root.look = look;
}"""

CUT: Final = """(one, within) => {
  let html = one.outerHTML;
  for (let at = one.parentElement, k = 0; k < within && at; k += 1, at = at.parentElement) {
    const bare = at.cloneNode(false);
    bare.innerHTML = html;
    html = bare.outerHTML;
  }
  return html;
}"""

LAY: Final = """groups => {
  const main = document.createElement("main");
  main.id = "parts";
  for (const [title, says, parts] of groups) {
    main.insertAdjacentHTML("beforeend", `<h2>${title}</h2><p class="quiet">${says}</p>`);
    const row = main.appendChild(Object.assign(document.createElement("div"), { className: "cut" }));
    for (const part of parts) {
      const figure = row.appendChild(Object.assign(document.createElement("figure"), { className: part.wide ? "whole" : "" }));
      const host = figure.appendChild(document.createElement("div"));
      if (part.state) host.dataset.force = part.state;
      // each with the sheets of its own page, apart from the others
      host.attachShadow({ mode: "open" }).innerHTML = part.sheets.map((href) => `<link rel="stylesheet" href="${href}">`).join("") +
        "<style>.lanes, .entry { display: block; position: static; } .lanes { overflow: visible; } input { width: 14rem; } ul, ol { margin: 0; padding: 0; list-style: none; }</style>" + part.html;
      figure.append(Object.assign(document.createElement("figcaption"), { textContent: part.says }));
    }
  }
  document.body.replaceChildren(main);
  document.body.style.padding = 0;
}"""

STYLE: Final = """
#parts { padding: 16px 24px; background: var(--paper); max-width: none; margin: 0; }
#parts .cut { display: flex; flex-wrap: wrap; gap: 24px 32px; align-items: flex-start; margin: 8px 0 32px; }
#parts figure { margin: 0; flex: none; max-width: 100%; }
#parts figure.whole { flex: 1 1 29rem; max-width: 32rem; min-width: 0; }
#parts figcaption { margin-top: 8px; color: var(--soft); font-size: var(--label); }
"""

TO_FORCE: Final = """n => {
  const inside = document.querySelectorAll("[data-force]")[n].shadowRoot;
  return inside.querySelector("a, button, input, select, [role=button]");
}"""


def _force(page: Any) -> None:
    """The states that a pointer or a key makes, for the parts that name one."""
    client = page.context.new_cdp_session(page)
    client.send("DOM.enable")
    client.send("CSS.enable")
    client.send("DOM.getDocument", {"depth": 0})
    states = page.locator("[data-force]").evaluate_all("all => all.map((one) => one.dataset.force)")
    for n, state in enumerate(states):
        found = client.send("Runtime.evaluate", {"expression": f"({TO_FORCE})({n})"})["result"]["objectId"]
        node = client.send("DOM.requestNode", {"objectId": found})["nodeId"]
        forced = [state, "focus"] if state == "focus-visible" else [state]
        client.send("CSS.forcePseudoState", {"nodeId": node, "forcedPseudoClasses": forced})


def _keys(browser: Any, address: str) -> bytes:
    """The keys of the range with a strike chosen and one key focused."""
    page = browser.new_context(viewport={"width": 390, "height": 844}, reduced_motion="reduce").new_page()
    page.goto(f"{address}/bucket/4")
    page.wait_for_selector("body[data-ready]")
    for key in "43":
        page.locator(f"[data-key='{key}']").click()
    page.locator("[data-strike=fat]").click()
    page.keyboard.press("Tab")
    page.wait_for_timeout(300)
    made = page.screenshot()
    page.context.close()
    return bytes(made)


def tokens() -> dict[str, tuple[str, str, str]]:
    """Each colour of tokens.css in light, dark and sunlight."""
    text = (STATIC / "tokens.css").read_text(encoding="utf-8")
    sun = text[text.index('[data-look="sun"][data-theme]') :].partition("}")[0]
    bright = dict(re.findall(r"--([\w-]+): (#\w+)", sun))
    both = re.findall(r"--([\w-]+): light-dark\((#\w+), (#\w+)\)", text)
    return {name: (light, dark, bright.get(name, light)) for name, light, dark in both}


def contrast(one: str, other: str) -> float:
    """The contrast of two colours (WCAG 2.2, relative luminance)."""
    lights = sorted((_luminance(one), _luminance(other)))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def _luminance(colour: str) -> float:
    digits = colour.lstrip("#")
    full = digits if len(digits) == 6 else "".join(2 * d for d in digits)
    parts = [int(full[k : k + 2], 16) / 255 for k in (0, 2, 4)]
    r, g, b = (v / 12.92 if v <= 0.04045 else ((v + 0.055) / 1.055) ** 2.4 for v in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def page_of_looks() -> str:
    """docs/how-it-looks.md."""
    known = tokens()
    rows = []
    for what, above, below, needs in CONTRASTS:
        seen = [contrast(known[above][k], known[below][k]) for k in range(3)]
        assert min(seen) >= needs, f"{above} on {below}: {seen}"
        rows.append(
            f"| {what} | `{above}` on `{below}` | " + " | ".join(f"{one:.1f}" for one in seen) + f" | {needs:g} |"
        )
    shown = [
        f'<img src="pictures/looks/{look}.png" width="820" alt="All parts of the pages, {words}">\n'
        for look, words in (("light", "light"), ("dark", "dark"), ("sun", "in bright sun"))
    ]
    return "\n".join(
        [
            "# How it looks",
            "",
            "Every part of the pages in every state, cut out of the running pages by `make pictures` (`scripts/how_it_looks.py`); nothing here is drawn by hand, so a change of a style sheet shows here as a changed picture. Six rules: the answer is the largest thing; one thing to press a screen; uncertainty can be counted; every difference is a shape before it is a colour; gloved thumb and bright sun; the reason stands with the figure.",
            "",
            "## In light",
            "",
            shown[0],
            "## In the dark",
            "",
            shown[1],
            "## In bright sun",
            "",
            "Its own drawing, not a filter: black on white, lines of 3 px, heavier type. Paper is the same without the heavy lines.",
            "",
            shown[2],
            "## The keys of the range",
            "",
            "Keys are 64 px and more; *fat* is chosen, the next stop of the keyboard is framed.",
            "",
            '<img src="pictures/looks/keys.png" width="260" alt="Thumb keys with a number typed, a strike chosen and a focused key">',
            "",
            "## Contrast",
            "",
            "Worked out from `web/static/tokens.css` by the formula of WCAG 2.2 each time this page is made; a pair below what it needs stops the making.",
            "",
            "| what | pair | light | dark | sun | needs |",
            "|---|---|---|---|---|---|",
            *rows,
            "",
        ]
    )
