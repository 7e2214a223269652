# Each target installs what it needs, and nothing it does not: on a fresh Debian with Python 3.11,
# `make demo` needs the run-time dependencies only, `make test` PostgreSQL and Chromium as well.

VENV := .venv
BIN := $(VENV)/bin
PIP := $(BIN)/python -m pip --disable-pip-version-check --quiet
# What Python compiled is kept, whatever the environment says: tests start the program many times.
PYTHON := PYTHONDONTWRITEBYTECODE= $(BIN)/python
PYTEST := $(PYTHON) -m pytest --numprocesses 2 --dist worksteal
PACKAGES := postgresql chromium chromium-headless-shell qpdf fonts-dejavu-core fonts-noto-core fonts-droid-fallback

.PHONY: help demo serve test lint ahead looks bench soak docs lock clean
.DELETE_ON_ERROR:

help: ## this list
	@sed -n 's/^\([a-z]*\):.*## /\1\t/p' Makefile | expand -t 8

demo: $(VENV)/run.stamp ## a made-up vehicle taken apart and put back, in your terminal
	@$(BIN)/putback demo

serve: $(VENV)/run.stamp ## the web pages
	@$(BIN)/putback serve

test: packages ## everything that must hold before a commit
	@$(MAKE) --no-print-directory --jobs 2 --output-sync=target lint ahead
	$(PYTEST) --cov $(ARGS)

lint: $(VENV)/dev.stamp ## style, types and floors
	$(BIN)/ruff check
	$(BIN)/ruff format --check
	$(BIN)/mypy
	$(BIN)/lint-imports --no-logo

# Two tests at a time would both compile the solvers' loops; a core is free while mypy works.
ahead: $(VENV)/dev.stamp
	$(PYTHON) -m scripts.compile_ahead

looks: $(VENV)/dev.stamp packages ## the walks of the browser tests on both screens and in both themes
	EVERY_LOOK=1 $(PYTEST) -m looks tests/browser $(ARGS)

bench: PACKAGES += $(if $(shell command -v npm),,nodejs npm)
bench: $(VENV)/dev.stamp packages ## measure; ARGS=--json for a machine to read
	$(BIN)/python -m benchmarks $(ARGS)

soak: $(VENV)/dev.stamp packages ## the tests once more, for hours where it counts
	HYPOTHESIS_PROFILE=soak $(PYTEST) -m 'not bench and not browser' $(ARGS)

docs: $(VENV)/run.stamp ## write anew what the documentation takes from the program
	$(BIN)/python -m scripts.docs_reference
	$(BIN)/python -m scripts.known_to_phones
	$(BIN)/python -m scripts.german_to_phones
	$(BIN)/python -m scripts.draw_demo

lock: ## write the lock files anew; ARGS=--upgrade to renew every pin
	scripts/lock $(ARGS)

clean: ## remove all that these targets made, the virtual environment too
	rm -rf $(VENV) .coverage .coverage.* htmlcov build dist
	rm -rf .pytest_cache .mypy_cache .ruff_cache .import_linter_cache .hypothesis
	find src tests benchmarks -name __pycache__ -type d -prune -exec rm -rf {} + 2>/dev/null || true

.PHONY: packages
packages:
	@scripts/debian $(PACKAGES)

# The lock files pin every package by hash and are complete, so nothing is left to resolve: asked to,
# pip 23 would fetch a newer release for a pin that is wanted with an extra, and refuse it. Putback
# itself is installed in place, so that a change in src needs no step in between.
$(VENV)/run.stamp: requirements.lock pyproject.toml
	@echo "Setting up Putback (once; takes a minute or two) ..."
	@scripts/venv $(VENV)
	@$(PIP) install --require-hashes --no-deps --requirement requirements.lock
	@$(PIP) install --no-deps --no-build-isolation --editable .
	@touch $@

$(VENV)/dev.stamp: requirements-dev.lock $(VENV)/run.stamp
	@echo "Setting up what the tests need ..."
	@$(PIP) install --require-hashes --no-deps --requirement requirements-dev.lock
	@touch $@
