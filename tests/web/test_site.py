"""The folder for a web host: small, whole, relative addresses only, written over only what is ours."""

import io
import re
import tarfile
from pathlib import Path

import pytest

from threequarter.golf.errors import UserError
from threequarter.web.site import site_files, write_site


def test_it_is_small_and_names_only_what_it_holds() -> None:
    files = site_files()
    packed = io.BytesIO()
    with tarfile.open(fileobj=packed, mode="w:gz") as made:
        for name, content in files.items():
            entry = tarfile.TarInfo(name)
            entry.size = len(content)
            made.addfile(entry, io.BytesIO(content))
    assert packed.tell() < 3e6
    for name, content in files.items():
        if not name.endswith(".html"):
            continue
        text = content.decode()
        assert re.findall(r"(?:href|src|action)=\"(?:/|https?:)", text) == [], name
        addresses = [one.partition("#")[0].partition("?")[0] for one in re.findall(r"(?:href|src)=\"([^\"]+)\"", text)]
        held = {*files, "./", ""}
        assert [one for one in addresses if one not in held] == [], name
        assert "content-security-policy" in text


def test_no_script_asks_for_what_is_not_there() -> None:
    files = site_files()
    for name, content in files.items():
        if not name.endswith(".js") or "vendor" in name:
            continue
        for one in re.findall(r"from \"(\.[^\"]+)\"", content.decode()):
            folder = Path(name).parent
            parts: list[str] = []
            for part in (folder / one).parts:
                parts = parts[:-1] if part == ".." else [*parts, part]
            assert "/".join(parts) in files, (name, one)


def test_only_a_folder_of_ours_is_written_over(tmp_path: Path) -> None:
    own = tmp_path / "pages"
    write_site(own)
    (own / "index.html").write_text("old", encoding="utf-8")
    write_site(own)
    assert (own / "index.html").read_text(encoding="utf-8") != "old"
    other = tmp_path / "photos"
    other.mkdir()
    (other / "one.jpg").write_bytes(b"x")
    with pytest.raises(UserError):
        write_site(other)
    assert (other / "one.jpg").exists()
