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
export CI=true # a missing database fails tests instead of skipping them

step 'Format and vet'
unformatted=$(gofmt -l cmd api domain calc migrations deploy frontend/*.go)
[ -z "$unformatted" ] || { echo "gofmt these: $unformatted"; exit 1; }
go vet ./...
go mod verify >/dev/null

step 'Calculations'
go test ./calc/...

# Whatever people share is kept by the notebook: there the race detector looks. The
# demo is told by one after another.
step 'Notebook: real PostgreSQL, race detector'
go run ./deploy/testpg go test -race -shuffle=on -skip Demo ./domain ./domain/notebook ./domain/store

# With it the thousands of requests of api would take six minutes. Commands and
# clusters are processes of their own; it sees into none of them.
step 'Demo, pictures, API, commands, private PostgreSQL'
go run ./deploy/testpg go test -shuffle=on -run Demo ./domain/notebook
go run ./deploy/testpg go test -shuffle=on ./domain/picture ./domain/digest ./api/... ./cmd/... ./deploy/... ./migrations/... ./frontend

# Each wants its modules built again for fuzzing. Whole sheets pass through all
# calculations; make fuzz runs every target, and longer.
step 'Five seconds of fuzzing whole sheets'
deploy/fuzz.sh 5s calc/sheet

step 'Pages: install, generated client, types, units'
make --no-print-directory frontend/node_modules/.ok
(
	cd frontend
	npm run --silent generate >/dev/null
	git diff --exit-code --stat -- src/api/schema.d.ts || { echo 'src/api/schema.d.ts is not what api/openapi.yaml makes: npm run generate'; exit 1; }
	npm run --silent check
	npm run --silent test
)

step 'Build'
make --no-print-directory bin/leat
(cd frontend && npm run --silent budget)

step 'Browser'
deploy/e2e.sh

step 'All passed'
