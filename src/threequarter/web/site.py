"""A folder for any web host: the pages that a phone fills by itself, with all they need and nothing from elsewhere.

Every address in it is relative, so that it works under any path; a service worker of its own keeps each file, checked by its digest.
"""

import hashlib
import json
import os
import re
import tempfile
from pathlib import Path, PurePosixPath
from typing import Any, Final

from threequarter.golf.errors import UserError
from threequarter.language.localize import _
from threequarter.paper.typesetting import png_of
from threequarter.web.assets import CORE, MAY_COMPILE, STATIC, core_file
from threequarter.web.page_context import TEMPLATES
from threequarter.web.pages.keys.here import TEMPLATES_HERE, USUAL_CLUBS, usual_swings, values_here
from threequarter.web.security.request_guard import POLICY

FILES: Final = {
    "/bucket": "./",
    "/bucket/here": "keys.html",
    "/bucket/chart": "chart.html",
    "/bucket/round": "round.html",
    "/bucket/practice": "practice.html",
    "/bucket/recheck": "recheck.html",
    "/bucket/copy": "copy.html",
    "/offline": "offline.html",
    "/sw.js": "sw.js",
    "/manifest.webmanifest": "manifest.json",
}
"""What a server's addresses are called in the folder."""
TEMPLATES_ALONE: Final = {
    **TEMPLATES_HERE,
    "/bucket": "keys/begin_alone.html",
    "/offline": "keys/offline_alone.html",
}
MARK: Final = ".threequarter-site"
"""Stands in a folder that was written by us: only such a one is written over."""
ICONS: Final = (180, 192, 512)
"""Pixels a side of the icons on home screens: some phones take no SVG there."""
IN_PAGE: Final = POLICY.replace(" frame-ancestors 'none';", "")
"""As a page's own <meta> may say it; once the worker is there, it sends the whole policy with every page."""
ADDRESS: Final = re.compile(r'((?:href|src|action)=")(/[^"]*)"')
NAMED: Final = re.compile(
    r"""(?:from\s+|import\s+|import\()"(\.{1,2}/[^"]+)"|new URL\("([^"]+)", import\.meta\.url\)|url\("?([\w./-]+)"?\)"""
)
COMMENT: Final = re.compile(r"/\*.*?\*/", re.DOTALL)


def write_site(folder: Path) -> tuple[int, int]:
    """Writes the folder, whole or not at all; returns how many files and bytes. Raises UserError where it cannot be written, or holds
    something that is not ours."""
    if folder.exists() and any(folder.iterdir() if folder.is_dir() else [folder]) and not (folder / MARK).exists():
        raise UserError(
            _("{folder} already holds something else. Name an empty folder, or one that this command wrote.").format(
                folder=folder
            )
        )
    files = site_files()
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".threequarter-", dir=folder.parent) as scratch:
            made = Path(scratch, "site")
            for name, content in files.items():
                place = made / name
                place.parent.mkdir(parents=True, exist_ok=True)
                place.write_bytes(content)
            made.chmod(0o755)
            if folder.exists():
                folder.replace(Path(scratch, "before"))
            made.replace(folder)
    except OSError as error:
        raise UserError(
            _("{file} cannot be written: {why}. Nothing was changed.").format(file=folder, why=error.strerror)
        ) from error
    return len(files), sum(map(len, files.values()))


def site_files() -> dict[str, bytes]:
    """Every file of the folder by its name."""
    pages = {FILES[path]: _page(path, template) for path, template in TEMPLATES_ALONE.items()}
    named = {name for text in pages.values() for name in re.findall(r'(?:href|src)="/static/VERSION/([^"]+)"', text)}
    static = _with_all_named(named)
    version = _digest(b"".join(_named(name, one) for name, one in sorted(static.items())))[:12]
    place = f"static/{version}/"
    files = {place + name: content for name, content in static.items()}
    for name, text in pages.items():
        files["index.html" if name == "./" else name] = _relative(text, place).encode()
    files |= {f"icon-{size}.png": _icon(size) for size in ICONS}
    files["manifest.json"] = json.dumps(_manifest(place), ensure_ascii=False).encode()
    kept = {("./" if name == "index.html" else name): _digest(content) for name, content in sorted(files.items())}
    return files | {"sw.js": _worker(kept), MARK: b"", ".nojekyll": b""}


def _named(name: str, content: bytes) -> bytes:
    return name.encode() + b"\0" + content


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()


def _page(path: str, template: str) -> str:
    values: dict[str, Any] = values_here() | {"files": FILES, "assets": "VERSION"}
    if path == "/bucket":
        values |= {"clubs": ", ".join(USUAL_CLUBS), "swings": ", ".join(usual_swings())}
    return TEMPLATES.env.get_template(template).render(values)


def _relative(text: str, place: str) -> str:
    """A page whose addresses lie beside it. Raises KeyError for one that the folder does not have."""

    def beside(found: re.Match[str]) -> str:
        path, mark, query = found[2].partition("?")
        to = place + path.removeprefix("/static/VERSION/") if path.startswith("/static/") else FILES[path]
        return f'{found[1]}{to}{mark}{query}"'

    icon = f'<link rel="apple-touch-icon" href="icon-{ICONS[0]}.png">'
    policy = f'<meta http-equiv="content-security-policy" content="{IN_PAGE}">'
    return ADDRESS.sub(beside, text).replace('<meta charset="utf-8">', f'<meta charset="utf-8">\n{policy}\n{icon}', 1)


def _with_all_named(first: set[str]) -> dict[str, bytes]:
    """Static files, and those that their scripts and styles name, and so on."""
    found: dict[str, bytes] = {}
    waiting = sorted(first)
    while waiting:
        name = waiting.pop()
        if name in found:
            continue
        found[name] = (core_file() if name == CORE else STATIC / name).read_bytes()
        if name.endswith((".js", ".css")):
            text = COMMENT.sub("", found[name].decode())
            for parts in NAMED.findall(text):
                other = PurePosixPath(
                    os.path.normpath(PurePosixPath(name).parent / next(filter(None, parts)))
                ).as_posix()
                waiting.append(other)
    return found


def _icon(size: int) -> bytes:
    svg = (STATIC / "icon.svg").read_text(encoding="utf-8")
    return png_of(svg.replace("<svg ", '<svg width="72pt" height="72pt" ', 1), pixels_per_inch=float(size))


def _manifest(place: str) -> dict[str, Any]:
    told: dict[str, Any] = json.loads((STATIC / "manifest.webmanifest").read_text(encoding="utf-8"))
    icons = [{**icon, "src": place + "icon.svg"} for icon in told["icons"]]
    icons += [{"src": f"icon-{size}.png", "sizes": f"{size}x{size}", "type": "image/png"} for size in ICONS]
    return told | {"id": "./", "start_url": "./", "scope": "./", "icons": icons}


def _worker(kept: dict[str, str]) -> bytes:
    text = (STATIC / "site_sw.js").read_text(encoding="utf-8")
    listed = json.dumps(kept, indent=1)
    fills = {
        "DIGESTS_OF_FILES": listed,
        "POLICY_OF_PAGES": POLICY,
        "POLICY_OF_ENGINE": MAY_COMPILE,
        "VERSION": _digest(listed.encode())[:12],
    }
    for name, value in fills.items():
        text = text.replace(name, value)
    return text.encode()
