"""The docs as a static site (`make docs`); nothing of it is asked of another address when it is read."""

import re
from pathlib import Path
from typing import Any

import threequarter

ROOT = Path(__file__).parents[2]

project = "threequarter"
release = version = threequarter.__version__

extensions = ["myst_nb", "sphinx.ext.autodoc"]
root_doc = "index"
exclude_patterns = ["README.md", "site/*.py"]

myst_heading_anchors = 3
nb_execution_mode = "off"  # the outputs in the file are shown; a test holds them against what the code gives today

add_module_names = False
autodoc_typehints = "signature"
autodoc_typehints_format = "short"
autodoc_member_order = "bysource"
autodoc_preserve_defaults = True
autodoc_default_options = {"members": True, "undoc-members": True, "show-inheritance": False}

html_theme = "furo"
html_static_path = ["static"]
html_css_files = ["site.css"]
html_copy_source = False
html_show_sourcelink = False
html_show_copyright = False
html_title = f"threequarter {release}"

OUTSIDE = {"../CONTRIBUTING.md": "site/contributing.md", "../CHANGELOG.md": "site/changes.md"}


def point_inside(_app: object, name: str, source: list[str]) -> None:
    """The site begins with the list of the docs; links to files beside `docs/` lead to their pages of the site."""
    if name == root_doc:
        source[0] = (ROOT / "docs" / "README.md").read_text(encoding="utf-8") + source[0]
    for written, page in OUTSIDE.items():
        source[0] = source[0].replace(f"]({written})", f"]({page})")


def as_markdown(_app: object, _what: str, _name: str, _thing: object, _options: object, lines: list[str]) -> None:
    """Docstrings are plain Markdown: one pair of backticks is code."""
    lines[:] = [re.sub(r"(?<!`)`([^`]+)`(?!`)", r"``\1``", line) for line in lines]


def setup(app: Any) -> None:
    app.connect("source-read", point_inside)
    app.connect("autodoc-process-docstring", as_markdown)
