"""Runs the notebooks of the docs anew and keeps their outputs: python scripts/run_notebooks.py

`tests/test_docs.py` runs them too and holds what they give against what is kept.
"""

from pathlib import Path

import nbformat
from nbclient import NotebookClient

DOCS = Path(__file__).parents[1] / "docs"


def run(notebook: Path) -> nbformat.NotebookNode:
    """The notebook with the outputs of now, without times. Raises CellExecutionError with the cell that failed."""
    book = nbformat.read(notebook, as_version=4)
    NotebookClient(book, kernel_name="python3", timeout=300, record_timing=False).execute()
    book.metadata.pop("language_info", None)  # holds the version of the Python that ran it
    return book


if __name__ == "__main__":
    for notebook in sorted(DOCS.glob("*.ipynb")):
        nbformat.write(run(notebook), notebook)
        print(f"ran {notebook.relative_to(DOCS.parent)}")
