"""Typesetting: a template of ours and data as JSON -> PDF bytes. Same input, same bytes.

What a user typed goes in as data only; no template evaluates it, no package is loaded, and the root is a folder of its own.
A cap on the size of the data keeps a page from growing without end; a process of its own has limits on memory and time.
"""

import json
import re
import subprocess
import tempfile
import unicodedata
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from typing import Any, Final

from threequarter.fence import child as child_command
from threequarter.golf.errors import UserError
from threequarter.language.localize import _, locale

HERE: Final = Path(__file__).parent
MAX_DATA: Final = 400_000
MEGABYTES: Final = 1536
"""Address space of the typesetter; fonts are mapped into it, what it really uses is a tenth."""
SECONDS: Final = 20
"""Its processor time; the clock on the wall may show twice that."""
EMOJI: Final = re.compile(
    "([\U0001f000-\U0001faff\u2600-\u27bf])(?:[\ufe0f\U0001f3fb-\U0001f3ff]|\u200d[\U0001f000-\U0001faff\u2600-\u27bf])*"
)
BEYOND: Final = re.compile("[\u0590-\u1dff\u2e80-\ufdff\ufe30-\uffef\U00010000-\U0003ffff]")
"""Scripts that the shipped fonts do not hold; then, and only then, the fonts of the computer help out."""


@cache
def fonts() -> list[str]:
    """The folder of the fonts shipped with the product. Raises UserError where it is missing."""
    folder = HERE / "fonts"
    if not any(folder.glob("*.ttf")):
        raise UserError(_("The fonts for printing are missing. Install again; `threequarter doctor` says how."))
    return [str(folder)]


def typeset(template: str, data: dict[str, Any], files: dict[str, bytes] | None = None) -> bytes:
    """The PDF of a template (a name in templates/) with its data; `files` stand beside it under their names.

    Raises UserError where there is far too much to print, or no room for it on the disk of temporary files.
    """
    data = data | {"lang": locale()[:2]}  # hyphens by the language in use
    text = json.dumps(_printable(data), ensure_ascii=False, sort_keys=True)
    if len(text) > MAX_DATA:
        raise UserError(
            _("Too much to print ({count} characters). Print fewer shots at a time.").format(count=len(text))
        )
    with tempfile.TemporaryDirectory(prefix="threequarter-print-") as root:
        try:
            for name, content in {"main.typ": (HERE / "templates" / template).read_bytes(), **(files or {})}.items():
                Path(root, name).write_bytes(content)
        except OSError as error:
            raise UserError(
                _("Nothing was printed: {folder} cannot be written ({why}). Make room there, then print again.").format(
                    folder=root, why=error.strerror
                )
            ) from error
        return _compiled(root, "pdf", ignore_system_fonts=BEYOND.search(text) is None, sys_inputs={"data": text})


def _compiled(root: str, form: str, **more: Any) -> bytes:
    """main.typ of a folder as PDF or PNG, set in a process of its own with limits. Raises UserError where it hits one."""
    request = {
        "input": str(Path(root, "main.typ")),
        "root": root,
        "font_paths": fonts(),
        "format": form,
        "ignore_system_fonts": True,
        **more,
    }
    command = child_command("threequarter.paper.typeset_child", str(MEGABYTES), str(SECONDS))
    try:
        child = subprocess.run(
            command, input=json.dumps(request).encode(), capture_output=True, timeout=2 * SECONDS, check=False
        )
    except subprocess.TimeoutExpired:
        child = subprocess.CompletedProcess(command, -9)
    if child.returncode == 3:
        raise RuntimeError(f"typesetting: {child.stderr.decode(errors='replace')}")  # a fault of a template of ours
    if child.returncode != 0:
        raise UserError(_("That is too much for one print, or a text in it is very odd. Print fewer shots at a time."))
    return child.stdout


def join_pdfs(parts: Sequence[bytes]) -> bytes:
    """Several PDFs of ours behind each other, each page in its own size."""
    lines = []
    with tempfile.TemporaryDirectory(prefix="threequarter-print-") as root:
        for i, part in enumerate(parts):
            Path(root, f"part{i}.pdf").write_bytes(part)
            lines += [
                f'#page(paper: "a4", margin: 0pt)[#image("part{i}.pdf", page: {n}, width: 100%)]'
                for n in range(1, count_pages(part) + 1)
            ]
        Path(root, "main.typ").write_text("\n".join(lines), encoding="utf-8")
        return _compiled(root, "pdf")


def count_pages(pdf: bytes) -> int:
    """How many pages a PDF of ours has."""
    counts = [int(count) for count in re.findall(rb"/Type\s*/Pages\b[^>]*?/Count\s+(\d+)", pdf)]
    counts += [int(count) for count in re.findall(rb"/Count\s+(\d+)[^>]*?/Type\s*/Pages\b", pdf)]
    return max(counts) if counts else len(re.findall(rb"/Type\s*/Page\b", pdf))


def png_of(svg: str, *, pixels_per_inch: float = 144.0) -> bytes:
    """A picture of ours (SVG) as PNG, in the fonts shipped with the product."""
    source = '#set page(width: auto, height: auto, margin: 0pt)\n#set text(font: ("Bitter", "Noto Sans"))\n#image("picture.svg")'
    with tempfile.TemporaryDirectory(prefix="threequarter-print-") as root:
        Path(root, "main.typ").write_text(source, encoding="utf-8")
        Path(root, "picture.svg").write_text(svg, encoding="utf-8")
        return _compiled(root, "png", ppi=pixels_per_inch)


def png_of_pdf(pdf: bytes, *, pixels_per_inch: float = 144.0) -> bytes:
    """The pages of a PDF of ours, one under the other, as one PNG."""
    import typst

    pages = ", ".join(f'image("pages.pdf", page: {n})' for n in range(1, count_pages(pdf) + 1))
    source = f"#set page(width: auto, height: auto, margin: 0pt)\n#stack(dir: ttb, spacing: 2mm, {pages})"
    with tempfile.TemporaryDirectory(prefix="threequarter-print-") as root:
        Path(root, "main.typ").write_text(source, encoding="utf-8")
        Path(root, "pages.pdf").write_bytes(pdf)
        made = typst.compile(
            str(Path(root, "main.typ")),
            root=root,
            font_paths=fonts(),
            ignore_system_fonts=True,
            format="png",
            ppi=pixels_per_inch,
        )
    return bytes(made)


def _printable(value: Any) -> Any:
    """Emoji by their names, for no font on paper has them all; very long words may break, so that nothing runs off."""
    if isinstance(value, str):
        named = EMOJI.sub(lambda found: f"({unicodedata.name(found[1], 'sign').lower()})", value)
        return re.sub(r"\S{24,}", lambda word: "\u200b".join(re.findall(r".{1,12}", word[0])), named)
    if isinstance(value, dict):
        return {key: _printable(item) for key, item in value.items()}
    return [_printable(item) for item in value] if isinstance(value, list) else value
