# Two commands on a fresh machine: `make demo` and `make test`.
PYTHON ?= python3
VENV := .venv
BIN := $(VENV)/bin
PIP_AUDIT := 2.10.1
# What Python compiles is kept, for each worker and each command that a test starts.
unexport PYTHONDONTWRITEBYTECODE
# Each worker is one of as many as there are processors: a second thread of the linear algebra only waits.
test explore docs coverage: export OPENBLAS_NUM_THREADS ?= 1

.PHONY: demo test explore check audit docs messages bench coverage mutations format lock screens clean

demo: $(VENV)/run.stamp
	$(BIN)/wetend demo

test: $(VENV)/dev.stamp
	$(BIN)/python -m pytest -n $(or $(WORKERS),auto) --dist loadfile --no-loadscope-reorder

# Draws the property tests anew for so many minutes; prints how to repeat what it finds.
explore: $(VENV)/dev.stamp
	nice -n 19 $(BIN)/python tests/explore.py --minutes $(or $(MINUTES),10) --workers $(or $(WORKERS),1) \
	  $(if $(STOP),--stop) $(or $(TESTS),tests)

check: $(VENV)/dev.stamp
	$(BIN)/ruff format --check src tests benchmarks
	$(BIN)/ruff check src tests benchmarks
	$(BIN)/mypy
	$(BIN)/lint-imports

# Looks the locked dependencies up in the public index of known faults. The tool is installed apart, so
# that it is audited by nobody and ships with nothing. AUDIT=--if-reachable: no failure without an index.
audit:
	@if $(PYTHON) requirements/audit.py - --probe; then \
	  test -x $(VENV)/audit/bin/pip-audit || { $(PYTHON) -m venv $(VENV)/audit && \
	    $(VENV)/audit/bin/python -m pip install --quiet pip-audit==$(PIP_AUDIT); }; \
	  $(PYTHON) requirements/audit.py $(VENV)/audit/bin/pip-audit $(AUDIT); \
	else test -n "$(AUDIT)"; fi

bench: $(VENV)/dev.stamp
	$(BIN)/python benchmarks/run.py
	$(BIN)/python benchmarks/motion.py
	$(BIN)/python benchmarks/agreement.py
	$(BIN)/python benchmarks/bench_work.py
	$(BIN)/python benchmarks/pages.py
	$(BIN)/python benchmarks/writers.py
	$(BIN)/python benchmarks/startup.py

# Lines run and branches taken, by room, into docs/coverage.md; TESTS=tests/stats measures only those.
coverage: export COVERAGE_FILE := $(abspath $(VENV))/coverage/data
coverage: $(VENV)/dev.stamp
	rm -rf $(VENV)/coverage && mkdir -p $(VENV)/coverage
	$(BIN)/python -m coverage run -m pytest -q -n $(or $(WORKERS),auto) --dist loadfile --no-loadscope-reorder \
	  $(or $(TESTS),tests src)
	$(BIN)/python -m coverage combine -q $(VENV)/coverage
	$(BIN)/python -m coverage json -q -o $(VENV)/coverage/report.json
	$(BIN)/python docs/make_coverage.py $(VENV)/coverage/report.json --tests "$(TESTS)"

# Which small mutations of the program its tests let through, drawn by SEED; takes an hour.
mutations: $(VENV)/dev.stamp
	nice -n 19 $(BIN)/python benchmarks/mutations.py --named
	nice -n 19 $(BIN)/python benchmarks/mutations.py --count $(or $(COUNT),200) --seed $(or $(SEED),1130) \
	  --write docs/mutations.csv

format: $(VENV)/dev.stamp
	$(BIN)/ruff format src tests benchmarks
	$(BIN)/ruff check --fix src tests benchmarks

# What a translation begins from; see docs/adding-a-language.md.
messages: $(VENV)/dev.stamp
	$(BIN)/python docs/make_messages.py build/wetend.pot

# The site in build/docs. A link, an anchor or a reference that leads nowhere stops it.
docs: $(VENV)/docs.stamp docs/theory/figures/drawn.stamp
	$(BIN)/sphinx-build -q -W --keep-going -c docs . build/docs
	@echo "Open build/docs/docs/index.html in a browser."

# Drawn again when anything they are computed by has changed.
docs/theory/figures/drawn.stamp: $(VENV)/docs.stamp $(wildcard docs/figures/*.py) $(shell find src/wetend tests/reference -name '*.py' -o -name '*.csv')
	$(BIN)/python docs/figures/draw.py
	touch $@

screens: $(VENV)/dev.stamp
	$(BIN)/python docs/make_screens.py
	$(BIN)/python docs/make_act_sheets.py
	$(BIN)/python docs/make_measuring_sheets.py
	$(BIN)/python docs/make_do_sheets.py

# Needs uv; writes the lock files from pyproject.toml and requirements/docs.in.
lock:
	$(PYTHON) -c "import tomllib,pathlib; d=tomllib.loads(pathlib.Path('pyproject.toml').read_text()); \
	pathlib.Path('requirements/dev.in').write_text('\n'.join(d['dependency-groups']['dev'])+'\n')"
	uv pip compile -q --universal --generate-hashes --python-version 3.11 --no-header --no-annotate \
	  pyproject.toml --extra postgresql --extra spreadsheet -o requirements/run.txt
	uv pip compile -q --universal --generate-hashes --python-version 3.11 --no-header --no-annotate \
	  -c requirements/run.txt pyproject.toml requirements/dev.in --extra postgresql --extra spreadsheet -o requirements/dev.txt
	uv pip compile -q --universal --generate-hashes --python-version 3.11 --no-header --no-annotate \
	  -c requirements/dev.txt requirements/docs.in -o requirements/docs.txt

$(VENV)/run.stamp: requirements/run.txt pyproject.toml
	$(PYTHON) -c "import sys; sys.exit(sys.version_info < (3, 11) and 'wetend needs Python 3.11 or newer')"
	test -x $(BIN)/python || $(PYTHON) -m venv $(VENV)
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements/run.txt
	$(BIN)/python -m pip install --quiet --no-deps --editable .
	-$(BIN)/python -P -m wetend.jit wetend.physics.stroke.kernel
	-$(BIN)/python -P -m wetend.jit wetend.physics.cycle.kernel
	-$(BIN)/python -P -m wetend.jit wetend.physics.motion.engines
	touch $@

$(VENV)/dev.stamp: requirements/dev.txt $(VENV)/run.stamp
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements/dev.txt
	touch $@

$(VENV)/docs.stamp: requirements/docs.txt $(VENV)/dev.stamp
	$(BIN)/python -m pip install --quiet --require-hashes -r requirements/docs.txt
	touch $@

clean:
	rm -rf $(VENV) build dist docs/theory/figures .mypy_cache .ruff_cache .pytest_cache .hypothesis
