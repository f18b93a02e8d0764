"""Pictures of a swing check: a sheet a swing, its curves against time, all swings of a clip over each other. SVG strings."""

import base64
import io
from collections.abc import Sequence
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from threequarter.golf.message import Message
from threequarter.language import say
from threequarter.language.localize import _, ngettext, number
from threequarter.swing.check import SwingCheck
from threequarter.swing.decode import Image, frames
from threequarter.swing.measure import HIP_LOW, L_HIP, L_SHOULDER, L_WRIST, R_HIP, R_SHOULDER, R_WRIST, Swing
from threequarter.swing.track import Stretch, Track
from threequarter.swing.words import LEVELS, clock, level

Floats = NDArray[np.float64]

PANEL_W: Final = 230
PANEL_H: Final = 345
GAP: Final = 10
INK: Final = "#14130f"
LINE: Final = "#0b4f3c"
SLACK_S: Final = 0.004


def sheets(clip: Path, track: Track, found: SwingCheck) -> list[str]:
    """One sheet a swing: address, top, impact, finish, with the arm, the body's levels and what was measured drawn in."""
    return [_sheet(clip, track, found, number, at) for at, number in enumerate(found.numbers)]


def sheet_boxes(track: Track, found: SwingCheck) -> list[dict[str, float]]:
    """Where on each sheet the pictures lie: pixel of the film = box + (sheet - panel) / scale, for marking a point on it."""
    boxes = []
    for at in found.stretch_of:
        x, y, _width, height = _box(track.stretches[at])
        boxes.append({"x": x, "y": y, "scale": PANEL_H / height, "panel": PANEL_W, "gap": GAP, "top": 36.0})
    return boxes


def _sheet(clip: Path, track: Track, found: SwingCheck, place_of: int, at: int) -> str:
    swing, stretch = found.swings[at], track.stretches[found.stretch_of[at]]
    box = _box(stretch)
    shapes = []
    for place, (name, time, words) in enumerate(_instants(swing)):
        x = GAP + place * (PANEL_W + GAP)
        if time is not None:
            shapes.append(_panel(clip, track, stretch, time, box, x, found.hand or "right"))
        else:
            shapes.append(_text(x + 8, 60, _("not in the clip"), 13))
        shapes.append(_text(x, PANEL_H + 56, name, 16, bold=True))
        shapes.append(_text(x, PANEL_H + 74, words, 12))
    width = 4 * PANEL_W + 5 * GAP
    title = _("Swing {number}, ball at {at} s").format(number=place_of, at=number(swing.t_impact_s, 2))
    if swing.tempo_ratio is not None:
        title += "; " + say(Message("swing.tempo", times=swing.tempo_ratio))
    return _svg(width, PANEL_H + 90, title, [_text(GAP, 24, title, 17, bold=True), *shapes])


def _instants(swing: Swing) -> tuple[tuple[str, float | None, str], ...]:
    """Name, time and words of the four pictures of a sheet."""
    share = say(Message("swing.hand_speed", peak_share=swing.impact_over_peak))
    back = f"{swing.lead_arm_top_deg:.0f}°, {clock(swing.lead_arm_top_deg)}, {say(level(swing.hand_height_top))}"
    through = ""
    if swing.lead_arm_finish_deg is not None and swing.hand_height_finish is not None:
        arm, height = swing.lead_arm_finish_deg, swing.hand_height_finish
        through = f"{arm:.0f}°, {clock(arm, through=True)}, {say(level(height))}"
    return (
        (_("address"), swing.t_takeaway_s, ""),
        (_("top"), swing.t_top_s, back),
        (_("impact"), swing.t_impact_s, share),
        (_("finish"), swing.t_finish_s, through),
    )


def _box(stretch: Stretch) -> tuple[float, float, float, float]:
    """The part of the picture that is shown, of the panel's proportions: x, y, width, height in pixels."""
    xs, ys = stretch.points[:, :, 0], stretch.points[:, :, 1]
    middle, low, high = (
        float(np.median(xs[:, [L_HIP, R_HIP]])),
        float(np.quantile(ys, 0.005)),
        float(np.quantile(ys, 0.995)),
    )
    height = 1.42 * (high - low)  # the club at the top above, the ball in front of the feet below
    width = height * PANEL_W / PANEL_H
    return middle - width / 2, low - 0.2 * (high - low), width, height


def _panel(
    clip: Path, track: Track, stretch: Stretch, at: float, box: tuple[float, float, float, float], x: float, hand: str
) -> str:
    rgb = _frame_near(clip, at, track.seen.turned)
    k = int(np.argmin(np.abs(stretch.time_s - at)))
    points = stretch.points[k]
    scale = PANEL_H / box[3]

    def place(point: Floats) -> tuple[float, float]:
        return x + (float(point[0]) - box[0]) * scale, 36 + (float(point[1]) - box[1]) * scale

    shoulders, hips = points[[L_SHOULDER, R_SHOULDER]].mean(0), points[[L_HIP, R_HIP]].mean(0)
    hips = hips - np.array([0.0, HIP_LOW * float(np.hypot(*(shoulders - hips)))])
    shapes = [
        f'<clipPath id="c{x:.0f}"><rect x="{x:.1f}" y="36" width="{PANEL_W}" height="{PANEL_H}"/></clipPath><g clip-path="url(#c{x:.0f})">'
    ]
    if rgb is not None:
        x0, y0 = max(0, int(box[0])), max(0, int(box[1]))
        rgb = rgb[y0 : max(y0 + 2, int(box[1] + box[3])), x0 : max(x0 + 2, int(box[0] + box[2]))]
        height, width = rgb.shape[0] // 2 * 2, rgb.shape[1] // 2 * 2
        left, top = place(np.array([x0, y0], dtype=float))
        shapes.append(
            f'<image href="data:image/jpeg;base64,{_jpeg(rgb)}" x="{left:.1f}" y="{top:.1f}" width="{width * scale:.1f}" height="{height * scale:.1f}" preserveAspectRatio="none"/>'
        )
    for name, height_of in list(LEVELS.items())[1:]:
        y = place(np.array([0.0, hips[1] + height_of * (shoulders[1] - hips[1])]))[1]
        shapes.append(_stroke(x, y, x + PANEL_W, y, "#ffffff", 2.6, fade=0.55))
        shapes.append(_stroke(x, y, x + PANEL_W, y, INK, 1.1, dash="5 4"))
        shapes.append(_label(x + 4, y - 3, say(Message(f"swing.level_{name}"))))
    shoulder = points[L_SHOULDER if hand == "right" else R_SHOULDER]
    weight = np.clip(stretch.visibility[k, [L_WRIST, R_WRIST]], 0.02, 1.0) ** 3
    hands = weight @ points[[L_WRIST, R_WRIST]] / weight.sum()
    (x1, y1), (x2, y2) = place(shoulder), place(hands)
    shapes += [_stroke(x1, y1, x2, y2, "#ffffff", 7), _stroke(x1, y1, x2, y2, LINE, 4)]
    shapes += [
        f'<circle cx="{a:.1f}" cy="{b:.1f}" r="5" fill="{LINE}" stroke="#ffffff" stroke-width="1.5"/>'
        for a, b in ((x1, y1), (x2, y2))
    ]
    return (
        "".join(shapes)
        + f'</g><rect x="{x:.1f}" y="36" width="{PANEL_W}" height="{PANEL_H}" fill="none" stroke="{INK}" stroke-width="1"/>'
    )


def _frame_near(clip: Path, at: float, turned: int) -> Image | None:
    best: Image | None = None
    gap = np.inf
    for frame in frames(clip, spans=((max(0.0, at - 0.06), at + 0.06),), turned=turned):
        if abs(frame.time_s - at) < gap:
            best, gap = frame.rgb, abs(frame.time_s - at)
    return best


def _jpeg(rgb: Image) -> str:
    """A picture as base64 JPEG."""
    import av

    frame = av.VideoFrame.from_ndarray(
        np.ascontiguousarray(rgb[: rgb.shape[0] // 2 * 2, : rgb.shape[1] // 2 * 2]), format="rgb24"
    )
    out = io.BytesIO()
    with av.open(out, "w", format="mjpeg") as container:
        stream = container.add_stream("mjpeg", rate=1)
        stream.width, stream.height, stream.pix_fmt = frame.width, frame.height, "yuvj420p"
        stream.options = {"qscale": "4"}
        for packet in [*stream.encode(frame), *stream.encode(None)]:
            container.mux(packet)
    return base64.b64encode(out.getvalue()).decode()


def curves(found: SwingCheck) -> str:
    """Arm angle and hand speed of all swings over each other, against the time before and after the ball."""
    width, height, left, right = 760, 470, 58, 20
    spans = [(swing.start_s - swing.t_impact_s - 0.1, swing.end_s - swing.t_impact_s + 0.25) for swing in found.swings]
    low, high = min(a for a, _ in spans), max(b for _, b in spans)
    near_ball = [
        c.arm_deg[(c.time_s - s.t_impact_s > low) & (c.time_s - s.t_impact_s < high)]
        for s, c in zip(found.swings, found.curves, strict=True)
    ]
    arm_low, arm_high = min(float(a.min()) for a in near_ball) - 8, max(float(a.max()) for a in near_ball) + 8
    fast = max(
        float(c.hand_speed[np.abs(c.time_s - s.t_impact_s) < 0.5].max())
        for s, c in zip(found.swings, found.curves, strict=True)
    )

    def x(t: float) -> float:
        return left + (t - low) / (high - low) * (width - left - right)

    def y_arm(v: float) -> float:
        return 40 + (arm_high - v) / (arm_high - arm_low) * 230

    def y_speed(v: float) -> float:
        return 430 - v / (1.1 * fast) * 120

    shapes = [
        _text(left, 22, _("Lead arm, degrees from straight down (backswing upwards)"), 14, bold=True),
        _text(left, 298, _("Hand speed"), 14, bold=True),
    ]
    shapes += [_stroke(x(0), 40, x(0), 430, INK, 1, dash="3 3"), _text(x(0) + 4, 52, _("ball"), 12)]
    for angle in (-90, -60, -30, 0, 30, 60, 90):
        if arm_low < angle < arm_high:
            shapes += [
                _stroke(left, y_arm(angle), width - right, y_arm(angle), INK, 0.6, fade=0.25),
                _text(left - 8, y_arm(angle) + 4, f"{abs(angle)}°", 12, anchor="end"),
            ]
    for tenth in range(int(np.ceil(low * 2)), int(high * 2) + 1):
        shapes.append(
            _text(x(tenth / 2), 452, f"{number(tenth / 2, 1, sign=True)} s" if tenth else "0", 12, anchor="middle")
        )
    for nth, (swing, curve) in enumerate(zip(found.swings, found.curves, strict=True), start=1):
        t = curve.time_s - swing.t_impact_s
        near = (t >= low) & (t <= high)
        dash = "" if nth == 1 else f"{2 + 2 * nth} {2 + nth}"
        shapes.append(_path([(x(a), y_arm(b)) for a, b in zip(t[near], curve.arm_deg[near], strict=True)], dash))
        shapes.append(
            _path(
                [
                    (x(a), y_speed(b))
                    for a, b in zip(
                        t[near], curve.wrist_speed[near] / max(curve.wrist_speed[near].max(), 1e-9) * fast, strict=True
                    )
                ],
                dash,
            )
        )
        at = swing.t_top_s - swing.t_impact_s
        shapes.append(
            _text(x(at), y_arm(float(np.interp(at, t, curve.arm_deg))) - 6, str(nth), 13, anchor="middle", bold=True)
        )
    title = ngettext(
        "Arm and hands of {count} swing against time", "Arm and hands of {count} swings against time", len(found.swings)
    )
    return _svg(width, height, title.format(count=len(found.swings)), shapes)


def _path(points: Sequence[tuple[float, float]], dash: str) -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<polyline points="{" ".join(f"{a:.1f},{b:.1f}" for a, b in points)}" fill="none" stroke="{LINE}" stroke-width="2"{dashes}/>'


def _stroke(
    x1: float, y1: float, x2: float, y2: float, ink: str, width: float, *, dash: str = "", fade: float = 1.0
) -> str:
    dashes = f' stroke-dasharray="{dash}"' if dash else ""
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{ink}" stroke-width="{width:g}" stroke-opacity="{fade:g}" stroke-linecap="round"{dashes}/>'


def _text(x: float, y: float, words: str, size: float, *, bold: bool = False, anchor: str = "start") -> str:
    safe = words.replace("&", "&amp;").replace("<", "&lt;")
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size:g}" font-weight="{700 if bold else 400}" text-anchor="{anchor}" fill="{INK}">{safe}</text>'


def _label(x: float, y: float, words: str) -> str:
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="12" fill="{INK}" stroke="#ffffff" stroke-width="3" paint-order="stroke">{words}</text>'


def _svg(width: float, height: float, title: str, shapes: Sequence[str]) -> str:
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" width="{width:g}" height="{height:g}" role="img"'
        f' font-family="Bitter, Noto Sans, sans-serif"><title>{title}</title>'
        f'<rect width="{width:g}" height="{height:g}" fill="#fffdf7"/>{"".join(shapes)}</svg>'
    )
