"""The static files: compressed, kept by the browser under an address that changes with their content.

The fingerprint is a folder of the address (/static/3f2a…/app.js), so that a script finds the modules it imports, and a
style sheet its fonts, under the same one.
"""

import hashlib
import re
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Final

from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import FileResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Scope

from threequarter import core
from threequarter.web.security.request_guard import POLICY

STATIC: Final = Path(__file__).parent / "static"
CORE: Final = "engine/core.wasm"
"""The compiled core, the file that Python runs, under the engine's other files."""
COMPILES: Final = frozenset({"engine/worker.js", "live/pose_worker.js"})
"""The scripts that may compile: the core, and the runtime of the pose models; no page may."""
MODELS: Final = "live/models/"
"""The pose models, the files that Python runs, under the live page's other files."""
NEEDS_SERVER: Final = ("live/", "vendor/litert/")
"""What only works beside a server is not kept for when there is none."""
MAY_COMPILE: Final = POLICY.replace("script-src 'self'", "script-src 'self' 'wasm-unsafe-eval'")
WORKERS: Final = ("sw.js", "site_sw.js")
"""Service workers: filled in before they are served, and kept by no page."""
FINGERPRINT: Final = re.compile(r"([0-9a-f]{12})/")
A_YEAR: Final = "public, max-age=31536000, immutable"


@cache
def assets_version() -> str:
    """A fingerprint of all static files: another one as soon as one of them differs."""
    seen = hashlib.sha256()
    for file in sorted(path for path in STATIC.rglob("*") if path.is_file()):
        seen.update(file.relative_to(STATIC).as_posix().encode() + b"\0" + file.read_bytes())
    seen.update(core_file().read_bytes())
    return seen.hexdigest()[:12]


class _Files(StaticFiles):
    """Asked for under the present fingerprint a file never changes; else the browser asks each time whether it did."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        asked = FINGERPRINT.match(path)
        name = path[asked.end() :] if asked else path
        if name == CORE:
            response: Response = FileResponse(core_file(), media_type="application/wasm")
        elif name.startswith(MODELS) and name.endswith(".tflite"):
            response = await _models().get_response(name.removeprefix(MODELS), scope)
        else:
            response = await super().get_response(name, scope)
        if name in COMPILES:
            response.headers["content-security-policy"] = MAY_COMPILE
        present = asked is not None and asked[1] == assets_version()
        response.headers["cache-control"] = A_YEAR if present else "no-cache"
        return response


def page_files() -> list[str]:
    """Scripts, styles, fonts and pictures: all that a page may need without a server."""
    kept = (".js", ".css", ".woff2", ".svg")
    names = (path.relative_to(STATIC).as_posix() for path in STATIC.rglob("*") if path.suffix in kept)
    return sorted([*(name for name in names if name not in WORKERS and not name.startswith(NEEDS_SERVER)), CORE])


@cache
def _models() -> StaticFiles:
    return StaticFiles(directory=Path(str(files("threequarter.swing"))) / "models")


def core_file() -> Path:
    """Where the compiled core lies."""
    return Path(core.__file__).with_name("core.wasm")


def static_files() -> ASGIApp:
    """The app that serves them."""
    return GZipMiddleware(_Files(directory=STATIC), minimum_size=600)
