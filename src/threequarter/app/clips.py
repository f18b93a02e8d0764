"""Analysing a clip: its swings measured, with the pictures, the answer and the body points that corrections start from."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from threequarter.swing.check import SwingCheck
from threequarter.swing.track import Track

Progress = Callable[[float], None]
"""Told the share that is done, 0 to 1."""


def look_at(film: Path, progress: Progress | None = None, *, slower: float | None = None) -> tuple[Track, SwingCheck]:
    """The track and the swings of a clip; `slower` is how many times slower than life it is, where that is known. Raises UserError where the clip cannot be read, or the video extra is missing."""
    from threequarter.swing.check import look
    from threequarter.swing.decode import probe, require_video

    require_video()
    length = probe(film).duration_s
    tell = progress or (lambda _share: None)
    return look(film, lambda at: tell(at / length if length else 0.0), slower=slower)


def pictures(film: Path, track: Track, found: SwingCheck) -> dict[str, str]:
    """A sheet for each swing and one picture of the curves, SVG by name."""
    from threequarter.paper.pictures.swing_sheets import curves, sheets

    drawn = {
        f"{film.stem}-swing-{n}": sheet for n, sheet in zip(found.numbers, sheets(film, track, found), strict=True)
    }
    return drawn | ({f"{film.stem}-curves": curves(found)} if found.swings else {})


def answer_of(track: Track, found: SwingCheck, felt: str | None, *, with_sheets: bool) -> dict[str, Any]:
    """What was found, as JSON; `felt` is what the player meant, one for all or swing by swing ("chest,waist")."""
    from threequarter.answers.swing import swings_answer
    from threequarter.paper.pictures.swing_sheets import sheet_boxes

    meant = [name.strip() or None for name in felt.split(",")] if felt else []
    answer = swings_answer(found, meant)
    if with_sheets:
        for swing, box in zip(answer["swings"], sheet_boxes(track, found), strict=True):
            swing["sheet"] = box
    return answer


def analyse_clip(film: Path, folder: Path, *, felt: str | None = None, progress: Progress | None = None) -> None:
    """Writes everything made from a clip into a folder: answer.json, pictures/ and track.npz. Raises UserError as `look_at`."""
    from threequarter.paper.typesetting import png_of
    from threequarter.swing.keep import save_track

    track, found = look_at(film, progress)
    (folder / "pictures").mkdir(exist_ok=True)
    for name, svg in pictures(film, track, found).items():
        (folder / "pictures" / f"{name}.svg").write_text(svg, encoding="utf-8")
        (folder / "pictures" / f"{name}.png").write_bytes(png_of(svg))
    answer = answer_of(track, found, felt, with_sheets=True)
    save_track(track, folder / "track.npz")
    (folder / "answer.json").write_text(json.dumps(answer, ensure_ascii=False, indent=1) + "\n", encoding="utf-8")
