"""`threequarter swing`: the swings in face-on clips."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from threequarter.cli.output import JSON, write_json, write_whole
from threequarter.golf.errors import UserError
from threequarter.language import say_error
from threequarter.language.localize import N_, _, ngettext, number

if TYPE_CHECKING:
    from threequarter.swing.check import SwingCheck
    from threequarter.swing.track import Track


@click.command(
    help=N_(
        "Measure every swing in face-on CLIPS: how far the arm went back and through, whether they match, tempo, "
        "hand speed.\n\nLeft-handers are recognised; rehearsals and walking about do not count as swings; what a "
        "clip cannot show is left unmeasured, and it says why. Checked on rendered clips only: --compare shows "
        "the error on your own."
    ),
    epilog="Example: threequarter swing clip.mp4 --felt chest --pictures sheets",
)
@click.argument("clips", type=click.Path(path_type=Path), nargs=-1, required=True)
@click.option("--felt", help=N_("What the player meant: chest, 9:00, or a list swing by swing (chest,waist)."))
@click.option(
    "--pictures",
    type=click.Path(path_type=Path, file_okay=False),
    help=N_("Write one sheet per swing and the curves into this folder."),
)
@click.option(
    "--compare",
    "marks",
    type=click.Path(path_type=Path),
    help=N_("Marks of the same clip (JSON); prints how far off the measures are."),
)
@click.option(
    "--marked",
    type=click.Path(path_type=Path, file_okay=False),
    help=N_("Write each clip with the arm drawn in into this folder (MP4)."),
)
@click.option(
    "--slower",
    type=click.FloatRange(1.0, 64.0),
    help=N_("How many times slower than life the clips play; left out, it is worked out from the swings."),
)
@JSON
def command(
    clips: tuple[Path, ...],
    felt: str | None,
    pictures: Path | None,
    marks: Path | None,
    marked: Path | None,
    slower: float | None,
    json_to: str | None,
) -> None:
    from threequarter.app.clips import answer_of

    if marks and len(clips) != 1:
        raise UserError(_("--compare takes one clip and its marks."))
    answers: dict[str, Any] = {}
    failed: list[str] = []
    for clip in clips:
        try:
            track, found = _look(clip, slower)
        except UserError as error:
            if len(clips) == 1:
                raise
            failed.append(say_error(error))
            answers[clip.name] = {"error": failed[-1], "swings": []}
            continue
        answers[clip.name] = answer_of(track, found, felt, with_sheets=pictures is not None)
        if marks:
            answers[clip.name]["compared"] = _compared(answers[clip.name], marks)
        if pictures:
            _draw(clip, track, found, pictures)
        if marked:
            _film(clip, track, found, marked)
    if json_to:
        write_json(answers[clips[0].name] if len(clips) == 1 else {"clips": answers}, json_to)
    else:
        for name, answer in answers.items():
            _say(name, answer)
    if failed:
        raise UserError("; ".join(failed))


def _look(clip: Path, slower: float | None) -> tuple["Track", "SwingCheck"]:
    from rich.console import Console
    from rich.progress import Progress

    from threequarter.app.clips import look_at

    with Progress(console=Console(file=sys.stderr), transient=True) as bar:
        task = bar.add_task(_("Looking at {file}").format(file=clip.name), total=1.0)
        return look_at(clip, lambda share: bar.update(task, completed=share), slower=slower)


def _compared(answer: dict[str, Any], marks: Path) -> dict[str, Any]:
    import json

    from threequarter.swing.compare import compare

    try:
        told = json.loads(marks.read_text(encoding="utf-8"))
    except OSError as error:
        raise UserError(_("{file} cannot be read: {why}.").format(file=marks, why=error.strerror)) from None
    except ValueError:
        raise UserError(_("{file} is not JSON.").format(file=marks)) from None
    return compare(answer, told)


def _draw(clip: Path, track: "Track", found: "SwingCheck", folder: Path) -> None:
    from threequarter.app.clips import pictures as drawn_of
    from threequarter.paper.typesetting import png_of

    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise UserError(_("{folder} cannot be made: {why}.").format(folder=folder, why=error.strerror)) from None
    for name, svg in drawn_of(clip, track, found).items():
        write_whole(folder / f"{name}.svg", svg.encode())
        write_whole(folder / f"{name}.png", png_of(svg))


def _film(clip: Path, track: "Track", found: "SwingCheck", folder: Path) -> None:
    import tempfile

    from threequarter.swing.film import marked_film

    try:
        folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(dir=folder, prefix=".film-") as scratch:
            made = Path(scratch, "film.mp4")
            marked_film(clip, track, found, made)
            made.replace(folder / f"{clip.stem}-marked.mp4")  # whole, or not at all
    except OSError as error:
        raise UserError(_("{folder} cannot be written: {why}.").format(folder=folder, why=error.strerror)) from None


HANDED = {"left": N_("left-handed"), "right": N_("right-handed")}


def _say(name: str, answer: dict[str, Any]) -> None:
    from threequarter.language import say as told
    from threequarter.swing.compare import say

    hand = HANDED.get(answer.get("handedness") or "")
    click.echo(
        ngettext("{file}: {count} swing", "{file}: {count} swings", len(answer["swings"])).format(
            file=name, count=len(answer["swings"])
        )
        + (f", {_(hand)}" if hand else "")
    )
    for nth, swing in enumerate(answer["swings"], start=1):
        at = _("swing {number} at {at} s: {words}")
        words = "; ".join(swing["words"])
        click.echo("  " + at.format(number=nth, at=number(swing["t_impact_s"], 2), words=words))
        for warning in swing["warnings"]:
            click.echo(f"    {warning}")
    for line in (*answer.get("words", ()), *answer.get("warnings", ())):
        click.echo(f"  {line}")
    if answer.get("error"):
        click.echo(f"  {answer['error']}")
    if answer.get("compared"):
        for line in say(answer["compared"]):
            click.echo(f"  {told(line)}")
