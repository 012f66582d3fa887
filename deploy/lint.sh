#!/usr/bin/env bash
# What a reviewer's machine runs beside the tests: go mod tidy, golangci-lint
# where it is installed, and ESLint.
set -euo pipefail
cd "$(dirname "$0")/.."
go mod tidy -diff
if command -v golangci-lint >/dev/null; then
	golangci-lint run
else
	echo 'golangci-lint is not installed; the linters of .golangci.yml did not run.'
fi
cd frontend && npm run --silent check
