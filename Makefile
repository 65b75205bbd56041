# `make serve` and `make test` are the two that matter; the rest are their parts.
.PHONY: serve build dev test setup pictures lighthouse bench fuzz soak clean

serve: build
	@tools/serve.sh

build: setup
	@tools/build.sh

# Quick to build, larger and slower to run: for working on the page.
dev: setup
	@tools/build.sh --dev
	@tools/serve.sh

# Everything that is tested, from formatting to a real browser; ends with what passed and failed.
test:
	@tools/test.sh

setup:
	@tools/setup.sh

# The pictures in the README, taken from the page as it is.
pictures: build
	@tools/setup.sh browser
	@node tests/e2e/pictures.mjs

# How the built page does in Lighthouse; ends with a table, and fails below 95.
lighthouse: build
	@tools/setup.sh browser
	@npm ci --silent --no-audit --no-fund --prefix tests/lighthouse
	@node tests/lighthouse/lighthouse.mjs

# Every figure asked of Leadbar, measured here and told as a table beside what it is compared with.
bench: build
	@tools/setup.sh browser
	@node tests/bench/table.mjs

# Searches for bytes that break what reads them, SECONDS= of each reader.
fuzz:
	@tools/fuzz.sh $(or $(SECONDS),60)

# Long random use of the built page, MINUTES= of it: whether memory stays and the work survives.
soak: build
	@tools/setup.sh browser
	@MINUTES=$(or $(MINUTES),5) node tests/e2e/soak.mjs

clean:
	rm -rf dist target
