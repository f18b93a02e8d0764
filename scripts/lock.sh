#!/bin/sh
# Writes the hashed requirements, for every platform and Python from 3.11 on, without any address in them.
set -eu
command -v uv >/dev/null || { echo "uv is needed to write the requirements: pip install uv"; exit 1; }
lock() { uv pip compile --quiet --universal --python-version 3.11 --generate-hashes --no-emit-index-url --no-emit-find-links --no-annotate --no-header -c requirements/constraints.txt "$@"; }
lock pyproject.toml -o requirements/run.txt
lock --extra academy --extra video --extra s3 pyproject.toml -o requirements/academy.txt
lock requirements/build.in -o requirements/build.txt
lock requirements/npm.in -o requirements/npm.txt
lock --all-extras --group dev pyproject.toml -o requirements/dev.txt
