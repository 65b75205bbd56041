# `make serve` and `make test` are the two that matter; the rest are their parts.
.PHONY: serve build dev test setup clean

serve: build
	@tools/serve.sh

build: setup
	@tools/build.sh

# Quick to build, larger and slower to run: for working on the page.
dev: setup
	@tools/build.sh --dev
	@tools/serve.sh

setup:
	@tools/setup.sh

clean:
	rm -rf dist target
