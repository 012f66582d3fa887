# The two commands are `make run` and `make test`. Recipes are short; what is
# longer lives in deploy/.
SHELL := /bin/bash
GO_SOURCES := $(shell find cmd api domain calc migrations deploy frontend/embed.go -name '*.go' -o -name '*.sql' -o -name '*.csv' -o -name '*.json' -o -name '*.yaml' -o -name '*.txt' 2>/dev/null)
PAGE_SOURCES := $(shell find frontend/src frontend/public -type f 2>/dev/null) frontend/index.html frontend/vite.config.ts frontend/package.json

.PHONY: run test lint bench plants build fuzz compose-check

run: bin/leat
	@deploy/need.sh postgres
	@exec bin/leat try

build: bin/leat

test:
	@deploy/check.sh

lint: frontend/node_modules/.ok
	@deploy/lint.sh

bench: frontend/node_modules/.ok
	go test ./calc/... -run '^$$' -bench . -benchmem
	go run ./deploy/testpg go test ./api -run '^$$' -bench . -benchmem
	cd frontend && npm run --silent budget
	@deploy/need.sh chromium
	cd frontend && npm run --silent bench

# Predicted against published, row by row; rows quoted from memory say so.
plants:
	go test ./calc/trompe -run 'TestPlants|TestSmallMachines' -v -count=1

fuzz:
	@deploy/fuzz.sh

compose-check:
	LEAT_DATABASE_PASSWORD=x LEAT_PUBLIC_URL=https://leat.example LEAT_HOST=leat.example docker-compose config >/dev/null

frontend/node_modules/.ok: frontend/package-lock.json
	@deploy/need.sh node
	cd frontend && npm ci --no-audit --no-fund && touch node_modules/.ok

frontend/dist/index.html: frontend/node_modules/.ok $(PAGE_SOURCES)
	cd frontend && npm run --silent build && touch dist/index.html

bin/leat: $(GO_SOURCES) go.mod go.sum frontend/dist/index.html
	@deploy/need.sh go
	go build -o $@ ./cmd/leat
