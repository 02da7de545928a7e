# Everything a person does with the project. `make help` lists it.
PORT ?= 8000
PY = .venv/bin/python
export PYTHON
SETUP = python=$$(sh scripts/python.sh) && "$$python" -m

.DEFAULT_GOAL := help
.PHONY: help demo demo-reset nightly test prove lint lock venv

help: ## list what can be made
	@awk -F ':.*## ' '/^[a-z-]+:.*## / {printf "  make %-12s %s\n", $$1, $$2}' Makefile

demo: ## an invented contractor on http://127.0.0.1:8000/ (PORT=8100 make demo for another port)
	@$(SETUP) scripts.demo --port $(PORT)

demo-reset: ## forget the demo's data, after asking
	@$(SETUP) scripts.demo_reset

nightly: ## run the night once, as .env says
	@$(SETUP) scripts.bootstrap && $(PY) manage.py nightly

test: ## every test, on SQLite and, where it answers, on PostgreSQL (ARGS="tests/fleet -x" for some)
	@$(SETUP) scripts.bootstrap --dev && $(PY) -m scripts.suite $(ARGS)

prove: ## measure anew and write docs/measurements.md (ARGS="meter_rows" for some of tests/benchmarks/)
	@$(SETUP) scripts.bootstrap --dev && $(PY) -m scripts.prove $(ARGS)

lint: ## style, types, imports, migrations, deployment checks, templates
	@$(SETUP) scripts.bootstrap --dev && $(PY) -m scripts.lint

lock: ## lock the dependencies anew, with hashes
	@$(SETUP) scripts.bootstrap --dev && $(PY) -m scripts.lock

venv: ## only set up .venv, with what the tests and checks need
	@$(SETUP) scripts.bootstrap --dev
