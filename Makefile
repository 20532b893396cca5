# Two commands do everything: `make demo` and `make test`. `make help` lists the rest.
SHELL := /bin/bash
PY := .venv/bin/python
STAMP := .venv/.installed
STUDIO_PY := .venv-studio/bin/python
APT_TEST := chromium ffmpeg postgresql

FRONT := frontend/node_modules/.installed
BUILT := src/causeline/web/assets/built/manifest.json

.PHONY: help constraints demo test check unit frontend bench accuracy studio studio-test sheet demo-clips docs clean

help:  ## what there is to make
	@grep -hE '^[a-z-]+:.*##' $(MAKEFILE_LIST) | sed 's/:.*## /\t/' | expand -t 16

$(STAMP): pyproject.toml constraints.txt tools/hatch_build.py tools/fetch_weights.py
	python3 -m venv .venv
	$(PY) -m pip install --quiet --disable-pip-version-check -c constraints.txt pip
	$(PY) -m pip install --quiet --disable-pip-version-check -c constraints.txt -e '.[test,check]'
	touch $@

$(FRONT): frontend/package-lock.json
	cd frontend && npm ci --silent --no-audit --no-fund
	touch $@

$(BUILT): $(FRONT) frontend/vite.config.ts $(shell find frontend/src -name '*.ts' -o -name '*.css')
	cd frontend && npm run --silent build
	touch $@

frontend: $(BUILT)  ## build what runs in the browser

demo: $(STAMP) $(BUILT)  ## read the demo clips and write the pages
	$(PY) -m tools.demo --out out/demo

test: check unit  ## everything, installing what the tests need

check: $(STAMP) $(FRONT)  ## format, lint, types, layers
	.venv/bin/ruff format --check .
	.venv/bin/ruff check .
	.venv/bin/mypy
	.venv/bin/lint-imports
	cd frontend && npm run --silent check

unit: $(STAMP) $(BUILT) tests/browser/node_modules/.installed .cache/reference/.installed  ## the tests
	@tools/install_system.sh $(APT_TEST)
	@# More processes than cores: a browser's tests wait most of their time.
	$(PY) -m pytest -n $$((2 * $$(nproc))) --dist worksteal

tests/browser/node_modules/.installed: tests/browser/package-lock.json
	cd tests/browser && npm ci --silent --no-audit --no-fund
	touch $@

.cache/reference/.installed: tools/fetch_reference.py
	$(PY) tools/fetch_reference.py
	touch $@

bench: $(STAMP)  ## speed and memory, into docs/performance.md
	$(PY) -m bench.reading_speed

docs: $(STAMP) $(FRONT)  ## pages generated from the code
	$(PY) tools/write_measures_doc.py
	$(PY) tools/write_drills_doc.py
	$(PY) tools/update_messages.py
	$(PY) tools/write_web_types.py
	cd frontend && npm run --silent types

.venv-studio/.installed: studio/requirements.txt pyproject.toml
	python3 -m venv .venv-studio
	$(STUDIO_PY) -m pip install --quiet --disable-pip-version-check -r studio/requirements.txt -e .
	touch $@

studio: .venv-studio/.installed  ## the studio's own environment (torch and a renderer)
	@tools/install_system.sh libegl1 libgl1-mesa-dri libgles2

studio-test: studio  ## the studio's own tests
	$(STUDIO_PY) -m pytest tests_studio

sheet: studio  ## twelve rendered golfers, into docs/pictures
	$(STUDIO_PY) -m studio sheet

demo-clips: studio  ## film the demo scenario again
	$(STUDIO_PY) -m studio demo

accuracy: studio $(STAMP)  ## read the accuracy set and print the table, into docs/accuracy.md
	$(STUDIO_PY) -m studio accuracy-set --out .cache/accuracy
	$(PY) -m bench.accuracy --set .cache/accuracy

clean:  ## remove what was built
	rm -rf .venv .venv-studio .cache out build dist tests/browser/node_modules frontend/node_modules src/causeline/web/assets/built src/causeline/sources/weights

constraints: $(STAMP)  ## write down the versions in use
	(echo "# Versions that the tests pass with. Made by: make constraints"; \
	 .venv/bin/pip freeze --exclude-editable) > constraints.txt
