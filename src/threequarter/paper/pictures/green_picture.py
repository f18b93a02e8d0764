"""Where the balls of some shots end: single dots over a plain green seen from above, one panel a shot."""

from collections.abc import Sequence
from typing import Final

from threequarter.choice.green import Green, Kind
from threequarter.choice.shot import Option
from threequarter.golf.units import DistanceUnit, from_metres
from threequarter.language.localize import N_, _, ngettext, number
from threequarter.paper.pictures import svg

PANEL_W: Final = 236
PANEL_H: Final = 300
MOST: Final = 3
KINDS: Final[dict[Kind, str]] = {"sand": N_("sand"), "water": N_("water"), "rough": N_("rough")}


def green_picture(options: Sequence[Option], green: Green, unit: DistanceUnit, *, columns: int = MOST) -> str:
    """Up to three options beside each other (`columns` in a row) as SVG; the player stands below, the flag is a small mark."""
    shown = list(options[:MOST])
    rows = -(-len(shown) // columns)
    shapes: list[str] = []
    for place, option in enumerate(shown):
        shapes += _panel(option, green, unit, (place % columns) * PANEL_W, (place // columns) * PANEL_H)
    title = _("Where the balls finish")
    return svg.picture(columns * PANEL_W, rows * PANEL_H, title, sentence(shown, green, unit), shapes)


def _panel(option: Option, green: Green, unit: DistanceUnit, left: float, top: float) -> list[str]:
    across = max(green.width_m / 2 + 9, 20.0)
    along = (PANEL_H - 74) / PANEL_W * 2 * across
    scale = (PANEL_W - 16) / (2 * across)
    middle = left + PANEL_W / 2
    base = top + PANEL_H - 34
    start = green.centre_m - along / 2

    def place(x_m: float, y_m: float) -> tuple[float, float]:
        return middle + y_m * scale, base - (x_m - start) * scale

    cx, cy = place(green.centre_m, 0.0)
    fx, fy = place(green.to_pin_m, 0.0)
    name, size = svg.fitting(f"{option.club} {option.swing}", PANEL_W - 16, 14)
    shapes = [
        svg.text(left + 8, top + 18, name, size=size, weight=700),
        f'<ellipse cx="{cx:.1f}" cy="{cy:.1f}" rx="{green.width_m / 2 * scale:.1f}" ry="{green.depth_m / 2 * scale:.1f}" fill="currentColor" fill-opacity="0.07" stroke="currentColor" stroke-width="1.2"/>',
        svg.line(fx, fy, fx, fy - 16, width=1.6),
        f'<path d="M{fx:.1f} {fy - 16:.1f}l9 3.5l-9 3.5z" fill="currentColor"/>',
    ]
    shapes += _trouble(green, place, scale)
    out = 0
    for x_m, y_m in option.dots_m.tolist():
        px, py = place(x_m, y_m)
        if left + 3 < px < left + PANEL_W - 3 and top + 26 < py < base + 4:
            shapes.append(svg.dot(px, py, 2.4, fade=0.75))
        else:
            out += 1
    on_green = number(100 * option.on_green)
    said = _("{on_green} of 100 on the green").format(on_green=on_green)
    if out:
        said = ngettext(
            "{on_green} of 100 on the green, {count} dot outside",
            "{on_green} of 100 on the green, {count} dots outside",
            out,
        ).format(on_green=on_green, count=out)
    said, size = svg.fitting(said, PANEL_W - 16, 12)
    return [*shapes, svg.text(left + 8, top + PANEL_H - 14, said, size=size)]


def _trouble(green: Green, place, scale: float) -> list[str]:  # type: ignore[no-untyped-def]
    """Hatched strokes along the side of the green where trouble lies, with its name."""
    shapes = []
    at = {
        "short": (green.centre_m - green.depth_m / 2 - 3, 0.0),
        "long": (green.centre_m + green.depth_m / 2 + 3, 0.0),
        "left": (green.centre_m, -green.width_m / 2 - 3),
        "right": (green.centre_m, green.width_m / 2 + 3),
    }
    for trouble in green.trouble:
        x, y = place(*at[trouble.side])
        level = trouble.side in ("short", "long")
        for k in range(-4, 5):
            a, b = (x + k * 7, y) if level else (x, y + k * 7)
            shapes.append(svg.line(a - 3, b + 3, a + 3, b - 3, width=1.4))
        shapes.append(svg.text(x, y + (14 if level else -36), _(KINDS[trouble.kind]), size=11, anchor="middle"))
    return shapes


def sentence(options: Sequence[Option], green: Green, unit: DistanceUnit) -> str:
    """The picture in one sentence."""
    parts = [
        _("{shot}: {on_green} of 100 on the green").format(
            shot=f"{o.club} {o.swing}", on_green=number(100 * o.on_green)
        )
        for o in options
    ]
    to = _("{to} {unit} to the flag.").format(to=number(from_metres(green.to_pin_m, unit)), unit=unit)
    return f"{to} {'; '.join(parts)}."
