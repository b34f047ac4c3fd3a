# Two commands do all the set-up: `make run` and `make test`. The rest is for developers.
SHELL := /bin/bash
PY := .venv/bin/python

.PHONY: run test lint bench fault clean

run: .venv/.run-stamp
	@$(PY) shopapp/ops/serve.py

test: .venv/.test-stamp
	@$(PY) shopapp/ops/gate.py

lint: .venv/.test-stamp
	@$(PY) shopapp/ops/gate.py --lint-only

bench: .venv/.bench-stamp
	@$(PY) -m pytest tests/bench -q -s -p no:randomly -o addopts= -o "python_files=bench_*.py test_*.py"

fault: .venv/.test-stamp
	@$(PY) -m pytest tests/fault -q -s -p no:randomly -o addopts=

.venv/.run-stamp: pyproject.toml shopapp/ops/constraints.txt shopapp/ops/setup.sh
	@bash shopapp/ops/setup.sh run && touch $@

.venv/.test-stamp: pyproject.toml shopapp/ops/constraints.txt shopapp/ops/setup.sh
	@bash shopapp/ops/setup.sh test && touch $@

.venv/.bench-stamp: pyproject.toml shopapp/ops/constraints.txt shopapp/ops/setup.sh
	@bash shopapp/ops/setup.sh bench && touch $@

clean:
	rm -rf .venv .pytest_cache .ruff_cache .hypothesis .import_linter_cache
