"""The list of everything a release is made of (CycloneDX): Python packages as locked, browser files, fonts and models by hash.

python scripts/make_sbom.py dist/sbom.json
"""

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[1]


def python_packages() -> dict[str, Any]:
    """What the locked requirements install, read by cyclonedx-bom."""
    command = [
        sys.executable,
        "-m",
        "cyclonedx_py",
        "requirements",
        str(ROOT / "requirements" / "run.txt"),
        "--pyproject",
        str(ROOT / "pyproject.toml"),
    ]
    made = subprocess.run(
        [*command, "--of", "JSON", "--output-reproducible"], capture_output=True, text=True, check=True
    )
    found: dict[str, Any] = json.loads(made.stdout)
    for component in found["components"]:
        component.pop("externalReferences", None)  # where a package is fetched from is the installer's own choice
        component.pop("description", None)
    return found


def fetched_files() -> list[dict[str, Any]]:
    """What the build hook fetches and ships; files for the tests alone are left out."""
    listed = json.loads((ROOT / "third_party.json").read_text(encoding="utf-8"))
    return [
        {
            "type": "machine-learning-model" if item["target"].endswith(".tflite") else "file",
            "bom-ref": item["target"],
            "name": item["source"],
            "hashes": [{"alg": "SHA-256", "content": item["sha256"]}],
            "licenses": [{"license": {"id": item["licence"]}}],
        }
        for item in listed
        if not item["target"].startswith("tests/")
    ]


def main() -> None:
    target = Path(sys.argv[1] if len(sys.argv) > 1 else "dist/sbom.json")
    found = python_packages()
    found["components"] += fetched_files()
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    print(f"{target}: {len(found['components'])} components")


if __name__ == "__main__":
    main()
