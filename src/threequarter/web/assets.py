"""The static files: compressed, kept by the browser under an address that changes with their content."""

import hashlib
from functools import cache
from pathlib import Path
from typing import Final

from starlette.middleware.gzip import GZipMiddleware
from starlette.responses import Response
from starlette.staticfiles import StaticFiles
from starlette.types import ASGIApp, Scope

STATIC: Final = Path(__file__).parent / "static"
A_YEAR: Final = "public, max-age=31536000, immutable"


@cache
def assets_version() -> str:
    """A fingerprint of all static files: another one as soon as one of them differs."""
    seen = hashlib.sha256()
    for file in sorted(path for path in STATIC.rglob("*") if path.is_file()):
        seen.update(file.relative_to(STATIC).as_posix().encode() + b"\0" + file.read_bytes())
    return seen.hexdigest()[:12]


class _Files(StaticFiles):
    """Asked for under the present fingerprint a file never changes; else the browser asks each time whether it did."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        response = await super().get_response(path, scope)
        present = scope.get("query_string", b"") == f"v={assets_version()}".encode()
        response.headers["cache-control"] = A_YEAR if present else "no-cache"
        return response


def static_files() -> ASGIApp:
    """The app that serves them."""
    return GZipMiddleware(_Files(directory=STATIC), minimum_size=600)
