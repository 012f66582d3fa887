#!/usr/bin/env bash
# Everything that `make test` and CI run: formatting, vet, Go against a real
# PostgreSQL under the race detector, calculations, pages, budgets, the binary,
# and a real browser against it.
set -euo pipefail
cd "$(dirname "$0")/.."

step() { printf '\n== %s (%ss)\n' "$1" "$SECONDS"; }

step 'What the machine brings'
deploy/need.sh go node chromium
LEAT_DATABASE_URL='' deploy/need.sh postgres
export GOGC=400 # memory is there, and time is not
export CGO_ENABLED=0 # as the binary is built; the race detector alone needs it
export CI=true # a missing database fails tests instead of skipping them

make --no-print-directory frontend/node_modules/.ok & # comes over the network meanwhile
packages=$!

step 'Format and vet'
unformatted=$(gofmt -l cmd api domain calc migrations deploy frontend/*.go)
[ -z "$unformatted" ] || { echo "gofmt these: $unformatted"; exit 1; }
go vet ./...
go mod verify >/dev/null
wait "$packages"
npm --prefix frontend run --silent check & # tsc and ESLint, on one processor, for a minute
checked=$!

step 'Calculations'
go test -vet=off ./calc/...

# Here the race detector looks: at tests in which several do something at once. With
# it everything else would take a quarter of an hour by itself.
several='Once|Against|Many|Twice|Races'
step 'Several at once: real PostgreSQL, race detector'
go run ./deploy/testpg env CGO_ENABLED=1 go test -vet=off -race -shuffle=on -run "$several" ./domain/notebook ./domain/store

# Commands and clusters are processes of their own.
step 'Notebook: real PostgreSQL'
go run ./deploy/testpg go test -vet=off -shuffle=on -skip "$several" ./domain/notebook ./domain/store
step 'API, commands: real PostgreSQL'
go run ./deploy/testpg go test -vet=off -shuffle=on $(go list ./domain/... ./api/... ./cmd/... ./deploy/... ./migrations/... ./frontend | grep -v '^leat/domain/\(notebook\|store\)$')

wait "$checked"

step 'Build'
make --no-print-directory bin/leat
(cd frontend && npm run --silent budget)

step 'Pages and browser: generated client, units, walks'
(
	cd frontend
	npm run --silent generate >/dev/null
	git diff --exit-code --stat -- src/api/schema.d.ts || { echo 'src/api/schema.d.ts is not what api/openapi.yaml makes: npm run generate'; exit 1; }
	npm run --silent test
) & # while the first server loads its invented people, on one processor
pages=$!
deploy/e2e.sh
wait "$pages"

step 'All passed'
