"""Makes the pictures of the README from the product: python scripts/make_pictures.py (needs pdftoppm)."""

import subprocess
import sys
import tempfile
from pathlib import Path

TARGET = Path(__file__).parents[1] / "docs" / "pictures"


def main() -> None:
    TARGET.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as scratch:
        subprocess.run(
            [sys.executable, "-m", "threequarter", "demo", "--out", scratch], check=True, stdout=subprocess.DEVNULL
        )
        svg = Path(scratch, "chart.svg").read_text(encoding="utf-8")
        ground = '<rect width="100%" height="100%" fill="#fffdf7"/>'
        framed = svg.replace("</desc>", "</desc>" + ground).replace("<svg ", '<svg color="#14130f" ', 1)
        (TARGET / "chart.svg").write_text(framed, encoding="utf-8")
        subprocess.run(
            ["pdftoppm", "-r", "150", "-png", str(Path(scratch, "card.pdf")), str(TARGET / "card")], check=True
        )


if __name__ == "__main__":
    main()
