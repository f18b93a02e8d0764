# Two commands matter to a newcomer: make demo, make test. `make help` lists the rest.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet
# without compiled modules every process of ours starts a second later; what is never loaded (a sixth of all that is installed)
# need not be compiled, so the first use does it
unexport PYTHONDONTWRITEBYTECODE
UNTIL_CHANGED := requirements/run.txt requirements/build.txt requirements/npm.txt pyproject.toml hatch_build.py third_party.json package-lock.json

.PHONY: help demo serve test check lint types systems layers format bench torture pictures docs notebooks release texts requirements sbom audit clean system

help: ## List the commands
	@grep -hE '^[a-z]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | expand -t 16

demo: $(VENV)/run ## Make a chart and a card from the demo bucket
	@$(BIN)/threequarter demo --out out

serve: $(VENV)/run ## Open the pages in a browser
	@$(BIN)/threequarter serve

test: $(VENV)/dev system lint types layers ## Lint, types, layers and the tests (under 15 minutes on two free cores)
	@$(BIN)/python scripts/page_scripts.py test
	@$(BIN)/python -m pytest -n 2 --dist loadscope -m "not long" --durations 10

check: $(VENV)/dev lint types layers ## The quick daily one (under 2 minutes)
	@$(BIN)/python scripts/page_scripts.py test
	@$(BIN)/python -m pytest -n 2 --dist loadscope -m "not slow and not browser and not long"

lint: $(VENV)/dev
	@$(BIN)/ruff check . && $(BIN)/ruff format --check .
	@$(BIN)/python scripts/page_scripts.py lint
	@$(BIN)/python scripts/check_house.py

types: $(VENV)/dev
	@$(BIN)/mypy

systems: $(VENV)/dev ## Check the types as they are on Windows and on macOS
	@for system in win32 darwin; do echo $$system; $(BIN)/mypy --platform $$system --cache-dir .mypy_cache/$$system || exit 1; done

layers: $(VENV)/dev
	@$(BIN)/lint-imports --no-logo

format: $(VENV)/dev ## Format the code
	@$(BIN)/ruff format . && $(BIN)/ruff check --fix .
	@$(BIN)/python scripts/page_scripts.py format

bench: $(VENV)/dev ## The long measurements; each prints its figures beside a peer or a limit
	@$(BIN)/python -m pytest tests/browser/test_live.py
	@for script in benchmarks/*.py; do echo "== $$script"; $(BIN)/python $$script || exit 1; done

torture: $(VENV)/dev ## The long rigs: kills, power cuts, failed writes, phones (docs/torture.md; COUNTS=full takes hours)
	@sh scripts/torture.sh $(BIN)/python $(or $(COUNTS),long)

pictures: $(VENV)/dev system ## Make the pictures of the README and the docs from the product
	@$(BIN)/python scripts/make_pictures.py

docs: $(VENV)/dev ## Build the docs as a site that asks nothing of elsewhere: build/docs/index.html
	@$(BIN)/sphinx-build --quiet --fail-on-warning --keep-going -c docs/site docs build/docs
	@echo "The docs: build/docs/index.html"

notebooks: $(VENV)/dev ## Run the notebooks of the docs and keep their outputs
	@$(BIN)/python scripts/run_notebooks.py

texts: $(VENV)/dev ## Collect the texts of code and pages into the catalogues of other languages
	@sh scripts/texts.sh $(BIN)

requirements: ## Write the hashed requirements anew (needs uv on the PATH)
	@sh scripts/lock.sh
	@$(PYTHON) scripts/check_laptops.py

system: $(VENV)/dev
	@sh scripts/system_packages.sh

release: $(VENV)/dev ## All of a release in dist/: wheel, source, list of parts, container file, what changed; tried in a fresh environment
	@$(BIN)/python scripts/release.py

sbom: $(VENV)/dev ## The list of all parts of a release, CycloneDX, in dist/sbom.json
	@$(BIN)/python scripts/make_sbom.py dist/sbom.json

audit: $(VENV)/dev ## Ask the public advisories about every locked package (needs the internet; make test checks the stored ones)
	@$(BIN)/pip-audit -r requirements/run.txt --no-deps --disable-pip

clean: ## Remove the environment and what was built
	rm -rf $(VENV) build dist out

$(VENV)/python: 
	@$(PYTHON) -c 'import sys; sys.exit(0 if sys.version_info >= (3, 11) else "threequarter needs Python 3.11 or newer; this is " + sys.version.split()[0] + ". Name another one: make demo PYTHON=python3.12")'
	@$(PYTHON) -m venv $(VENV) || { echo "Python cannot make an environment here. On Debian or Ubuntu: apt-get install python3-venv"; exit 1; }
	@touch $@

$(VENV)/run: $(VENV)/python $(UNTIL_CHANGED)
	@echo "Setting up (once, about a minute) ..."
	@$(PIP) install --no-compile --require-hashes -r requirements/build.txt -r requirements/run.txt
	@command -v npm >/dev/null || $(PIP) install --require-hashes --target $(VENV)/npm -r requirements/npm.txt
	@PYTHONPATH=$(CURDIR)/$(VENV)/npm $(PIP) install --no-deps --no-build-isolation -e .
	@rm -rf $(VENV)/npm
	@touch $@

$(VENV)/dev: $(VENV)/run requirements/dev.txt
	@echo "Setting up what the tests need (once, a few minutes) ..."
	@$(PIP) install --require-hashes -r requirements/dev.txt
	@touch $@
