# Targets for people and for CI alike; the longer ones are scripts in .ci.

# Stamping a revision fails the build where git refuses to speak of the checkout (of
# another user, or no checkout at all), so it is asked first.
VCS := $(shell git rev-parse HEAD >/dev/null 2>&1 && echo true || echo false)

.PHONY: build demo test lint check plant plant-ledger mutate bench bench-ledger fuzz soak generate clean

build:
	go build -buildvcs=$(VCS) -o bin/roundkit ./cmd/roundkit

# The invented season in a database of its own: forecast, moves, orders, sheets in out/.
demo: build
	.ci/postgres
	bin/roundkit demo

# Starts its own PostgreSQL; one server for all packages.
test:
	.ci/postgres
	@command -v soffice >/dev/null || echo "make test: LibreOffice is not installed, so no sheet is opened in it; .ci/office installs it" >&2
	go run ./db/dbtest/withserver go test -race -timeout 30m ./...

lint:
	.ci/lint

# The published cases, as a reader would run them.
check: build
	bin/roundkit check

# Five errors planted one by one: each must turn the published cases red.
plant:
	.ci/plant

# Eleven errors planted in the ledger: the cases or the simulation must find each (some minutes).
plant-ledger:
	.ci/postgres
	.ci/plant-ledger

# The long runs: 400 kills of the program and of the server (half an hour).
soak:
	.ci/postgres
	go run ./db/dbtest/withserver go test ./cmd/roundkit -run 'Killed' -kills 400 -timeout 2h -v

# Some 230 small changes from a seed, one at a time, and what no test notices (hours, mostly of
# the store's tests; go run ./testdata/mutate -only planner/cost is a minute or two).
mutate:
	.ci/postgres
	go run ./db/dbtest/withserver go run ./testdata/mutate

# Job logs beside pgbench, on one server with fsync on (15 minutes).
bench-ledger:
	.ci/postgres
	testdata/bench/ledger/run

bench:
	go test -run '^$$' -bench . -benchmem ./...

# FUZZTIME=5m make fuzz
fuzz:
	.ci/fuzz

generate:
	go tool -modfile=.ci/tools.mod sqlc generate

clean:
	rm -rf bin out
