"""`threequarter doctor`: what is wrong with this installation, and what to do about it."""

import sys
from collections.abc import Callable, Iterator
from dataclasses import asdict
from importlib.util import find_spec
from pathlib import Path

import click

from threequarter import __version__
from threequarter.cli.doctor_place import place_findings
from threequarter.cli.findings import Finding
from threequarter.fence import child
from threequarter.golf.errors import UserError
from threequarter.language.localize import N_, _, ngettext
from threequarter.store.database.engines import url_from_environment
from threequarter.store.database.sqlite import library

PACKAGE = Path(__file__).parents[1]


def python_version() -> Finding:
    found = ".".join(map(str, sys.version_info[:3]))
    return Finding("Python", sys.version_info >= (3, 11), found, _("Install Python 3.11 or newer."))


def sqlite_library() -> Finding:
    """SQLite before 3.51.3 can lose commits in WAL mode with two connections; 3.52.0 was withdrawn."""
    sqlite = library()

    version = sqlite.sqlite_version_info
    well = version >= (3, 51, 3) and version[:3] != (3, 52, 0)
    return Finding(
        _("SQLite library"),
        well,
        sqlite.sqlite_version,
        _("Run: {command}").format(command="pip install --upgrade pysqlite3"),
    )


def files(what: str, folder: str, names: tuple[str, ...], *, needed: bool = True) -> Finding:
    missing = [name for name in names if not (PACKAGE / folder / name).is_file()]
    found = _("all there") if not missing else _("missing: {names}").format(names=", ".join(missing))
    cure = _("Install again: pip install --force-reinstall --no-deps . (in a checkout: python hatch_build.py)")
    return Finding(what, not missing, found, cure, needed)


def fonts() -> Finding:
    return files(_("Fonts for the card"), "paper/fonts", ("Bitter-Regular.ttf", "NotoSans-Regular.ttf"))


def page_files() -> Finding:
    return files(_("Files of the pages"), "web/static/vendor", ("htmx.min.js", "bitter-400.woff2"))


def swing_models() -> Finding:
    return files(_("Models of the swing check"), "swing/models", ("pose_detector.tflite", "pose_landmark_full.tflite"))


def video_extra() -> Finding:
    missing = [name for name in ("av", "ai_edge_litert") if find_spec(name) is None]
    found = _("installed") if not missing else _("not installed: clips cannot be measured")
    cure = _("Run: {command}").format(command="pip install 'threequarter[video]'")
    return Finding(_("Swing check from clips"), not missing, found, cure, needed=False)


def academy_extra() -> Finding:
    missing = [name for name in ("psycopg", "argon2", "webauthn", "dbos") if find_spec(name) is None]
    found = _("installed") if not missing else _("not installed: no PostgreSQL, no accounts")
    cure = _("Run: {command}").format(command="pip install 'threequarter[academy]'")
    return Finding(_("Academy"), not missing, found, cure, needed=url_from_environment() is not None)


def last_backup(folder: Path) -> Iterator[Finding]:
    """When the last good regular backup was, where there is anything to lose."""
    from threequarter.store.backup.retention import LATE_DAYS, dated_ahead, last_good_backup
    from threequarter.store.imports.save_import import now_utc
    from threequarter.store.open_store import backups_folder

    backups = backups_folder(folder)
    now = now_utc()
    last, ahead = last_good_backup(backups, now), dated_ahead(backups, now)
    if ahead:
        yield Finding(
            _("Clock"),
            False,
            _("{file} is dated in the future").format(file=ahead[0].path),
            _("Set this computer's clock. If it is right now, delete that backup or wait until its date."),
            needed=False,
        )
    if last is None and not (folder / "threequarter.db").exists():
        return
    cure = _("Run: threequarter backup --keep 7 (or leave threequarter serve open; it makes one a day)")
    if last is None:
        yield Finding(
            _("Last good backup"), False, _("none yet in {folder}").format(folder=backups), cure, needed=False
        )
        return
    days = max(0, (now - last.made_at).days)
    when = _("today") if days == 0 else ngettext("{count} day ago", "{count} days ago", days).format(count=days)
    found = _("{when}: {file}").format(when=when, file=last.path)
    yield Finding(_("Last good backup"), days < LATE_DAYS, found, cure, needed=False)


def sandbox() -> Finding:
    """What the process that reads a file somebody sent can still reach here; tried, not looked up."""
    import subprocess

    names = {"network": _("the network"), "files": _("writing files"), "memory": _("memory without limit")}
    try:
        tried = subprocess.run(child("threequarter.fence"), check=True, capture_output=True, text=True, timeout=30)
        left = [names[word] for word in tried.stdout.split()]
    except (OSError, subprocess.SubprocessError, KeyError):
        left = list(names.values())
    found = _("can still reach: {names}").format(names=", ".join(left)) if left else _("no network, writes nothing")
    cure = _("This system cannot lock it down further. Open only files and clips from people you know.")
    return Finding(_("Process that reads files"), not left, found, cure, needed=False)


CHECKS: tuple[Callable[[], Finding], ...] = (
    python_version,
    sqlite_library,
    fonts,
    page_files,
    swing_models,
    sandbox,
    video_extra,
    academy_extra,
)


def look(folder: Path, port: int) -> list[Finding]:
    """All findings. A check that breaks is itself a finding, so that one fault does not hide the others."""
    findings = []
    for check in CHECKS:
        try:
            findings.append(check())
        except (ImportError, OSError) as error:
            findings.append(
                Finding(check.__name__.replace("_", " "), False, str(error), _("Install threequarter again."))
            )
    return [*findings, *place_findings(folder, port), *last_backup(folder)]


@click.command(
    help=N_("Check this installation and say how to fix it."), epilog="Example: threequarter doctor --json -"
)
@click.option("--data", type=click.Path(path_type=Path), help=N_("The data folder to look at."))
@click.option(
    "--port",
    type=click.IntRange(1, 65535),
    default=8754,
    show_default=True,
    help=N_("The port the pages are served on."),
)
@click.option("--json", "json_to", metavar="FILE", help=N_("Write the findings as JSON; - is standard output."))
def command(data: Path | None, port: int, json_to: str | None) -> None:
    from threequarter.cli.output import write_json
    from threequarter.store import default_data_dir

    findings = look(data or default_data_dir(), port)
    sick = [finding for finding in findings if not finding.well and finding.needed]
    if json_to:
        write_json({"version": __version__, "well": not sick, "findings": [asdict(f) for f in findings]}, json_to)
    else:
        click.echo(f"threequarter {__version__}")
        for finding in findings:
            mark = _("ok  ") if finding.well else _("FIX!") if finding.needed else _("note")
            click.echo(f"{mark}  {finding.what}: {finding.found}")
            if not finding.well:
                click.echo(f"      {finding.cure}")
        click.echo(_("Everything needed is there.") if not sick else "")
    if sick:
        names = ", ".join(finding.what for finding in sick)
        raise UserError(_("{names} needs fixing; see the advice beside it.").format(names=names))
