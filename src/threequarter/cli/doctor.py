"""`threequarter doctor`: what is wrong with this installation, and what to do about it."""

import json
import os
import shutil
import sys
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from importlib.util import find_spec
from pathlib import Path

import click

from threequarter import __version__
from threequarter.golf.errors import UserError

ENOUGH_DISK_MB = 500
PACKAGE = Path(__file__).parents[1]


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing looked at: whether it is well, what was found, and the cure if it is not."""

    what: str
    well: bool
    found: str
    cure: str = ""
    needed: bool = True


def python_version() -> Finding:
    found = ".".join(map(str, sys.version_info[:3]))
    return Finding("Python", sys.version_info >= (3, 11), found, "Install Python 3.11 or newer.")


def sqlite_library() -> Finding:
    """SQLite before 3.51.3 can lose commits in WAL mode with two connections; 3.52.0 was withdrawn."""
    import pysqlite3.dbapi2 as sqlite

    version = sqlite.sqlite_version_info
    well = version >= (3, 51, 3) and version[:3] != (3, 52, 0)
    return Finding("SQLite library", well, sqlite.sqlite_version, "Run: pip install --upgrade pysqlite3")


def files(what: str, folder: str, names: tuple[str, ...], *, needed: bool = True) -> Finding:
    missing = [name for name in names if not (PACKAGE / folder / name).is_file()]
    found = "all there" if not missing else f"missing: {', '.join(missing)}"
    cure = "Install again: pip install --force-reinstall --no-deps . (in a checkout: python hatch_build.py)"
    return Finding(what, not missing, found, cure, needed)


def fonts() -> Finding:
    return files("Fonts for the card", "paper/fonts", ("AtkinsonHyperlegibleNext-Regular.ttf", "NotoSans-Regular.ttf"))


def page_files() -> Finding:
    return files("Files of the pages", "web/static/vendor", ("htmx.min.js", "pico.min.css"))


def swing_models() -> Finding:
    return files("Models of the swing check", "swing/models", ("pose_detector.tflite", "pose_landmark_full.tflite"))


def video_extra() -> Finding:
    missing = [name for name in ("av", "ai_edge_litert") if find_spec(name) is None]
    found = "installed" if not missing else "not installed: clips cannot be measured"
    return Finding("Swing check from clips", not missing, found, "Run: pip install 'threequarter[video]'", needed=False)


def data_folder(folder: Path) -> Iterator[Finding]:
    """The folder may not exist yet; then its nearest existing parent has to be writable."""
    cure = "Name another folder with --data, or change its permissions."
    if folder.exists() and not folder.is_dir():
        yield Finding("Data folder", False, f"{folder} is a file", cure)
        return
    there = next(parent for parent in (folder, *folder.absolute().parents) if parent.exists())
    well = os.access(there, os.W_OK)
    yield Finding("Data folder", well, f"{folder}{'' if well else ' cannot be written'}", cure)
    free_mb = shutil.disk_usage(there).free // 2**20
    yield Finding("Free disk", free_mb >= ENOUGH_DISK_MB, f"{free_mb} MB", f"Free {ENOUGH_DISK_MB} MB or more.")


CHECKS: tuple[Callable[[], Finding], ...] = (
    python_version,
    sqlite_library,
    fonts,
    page_files,
    swing_models,
    video_extra,
)


def look(folder: Path) -> list[Finding]:
    """All findings. A check that breaks is itself a finding, so that one fault does not hide the others."""
    findings = []
    for check in CHECKS:
        try:
            findings.append(check())
        except (ImportError, OSError) as error:
            findings.append(Finding(check.__name__.replace("_", " "), False, str(error), "Install threequarter again."))
    return [*findings, *data_folder(folder)]


@click.command(epilog="Example: threequarter doctor --json -")
@click.option("--data", type=click.Path(path_type=Path), help="The data folder to look at.")
@click.option("--json", "json_to", metavar="FILE", help="Write the findings as JSON; - is standard output.")
def command(data: Path | None, json_to: str | None) -> None:
    """Say what is wrong with this installation and what to do."""
    from threequarter.cli.output import write_json
    from threequarter.store import default_data_dir

    findings = look(data or default_data_dir())
    sick = [finding for finding in findings if not finding.well and finding.needed]
    if json_to:
        write_json({"version": __version__, "well": not sick, "findings": [asdict(f) for f in findings]}, json_to)
    else:
        click.echo(f"threequarter {__version__}")
        for finding in findings:
            mark = "ok  " if finding.well else "MEND" if finding.needed else "note"
            click.echo(f"{mark}  {finding.what}: {finding.found}")
            if not finding.well:
                click.echo(f"      {finding.cure}")
        click.echo("Everything needed is there." if not sick else "")
    if sick:
        raise UserError(
            json.dumps([f.what for f in sick])[1:-1].replace('"', "") + " needs mending; the cure stands beside it."
        )
