#!/usr/bin/env bash
# Runs every fuzz target for a while: deploy/fuzz.sh [TIME, such as 10s [FOLDER ...]]
set -euo pipefail
cd "$(dirname "$0")/.."
time=${1:-60s}
[ $# -gt 0 ] && shift
[ $# -gt 0 ] || set -- calc api domain
grep -rl --include='*_test.go' '^func Fuzz' "$@" | xargs -n1 dirname | sort -u | while read -r folder; do
	grep -h '^func Fuzz' "$folder"/*_test.go | sed 's/func \(Fuzz[A-Za-z0-9]*\).*/\1/' | while read -r target; do
		echo "$folder $target"
		go test "./$folder" -run '^$' -fuzz "^$target\$" -fuzztime "$time" </dev/null | tail -n 1
	done
done
