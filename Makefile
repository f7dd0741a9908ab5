# make run     build and open the window on the simulated rig
# make test    everything that is checked
# make bench   the numerics, the analysis of a take, and the charts of the window
# make build   only build/stillroom
# make fuzz    each fuzz target for FUZZTIME
# make clean   remove build/

BUILD    := build
FUZZTIME ?= 10s

# The commit is stamped into the program where git can tell it.
VCS := $(shell git rev-parse HEAD >/dev/null 2>&1 && echo true || echo false)

.PHONY: run build test bench fuzz clean packages packages-test

run: build
	@scripts/run $(BUILD)/stillroom

build: packages
	go build -buildvcs=$(VCS) -o $(BUILD)/stillroom ./cmd/stillroom

test: packages-test
	@scripts/test $(BUILD)

bench: packages-test
	@scripts/bench

fuzz: packages
	@scripts/fuzz $(FUZZTIME)

packages:
	@scripts/packages build

packages-test:
	@scripts/packages build test

clean:
	rm -rf $(BUILD)
