#!/usr/bin/env bash
# Walks through the pages in a real browser against a real server: bin/leat with
# its invented people on a private database of its own, gone afterwards.
# Arguments go to the test runner.
set -euo pipefail
cd "$(dirname "$0")/.."

folder=$(mktemp -d)
chmod 755 "$folder"
port=$(node -e 'const s=require("net").createServer().listen(0,"127.0.0.1",()=>{console.log(s.address().port);s.close()})')
url=http://localhost:$port
env -u LEAT_DATABASE_URL -u LEAT_DATABASE_URL_FILE LEAT_DATA="$folder/data" LEAT_LISTEN="localhost:$port" LEAT_PUBLIC_URL="$url" \
	bin/leat try >"$folder/log" 2>&1 &
server=$!
finish() {
	status=$?
	kill "$server" 2>/dev/null && wait "$server" || true
	[ "$status" = 0 ] || { echo 'The end of the server log:'; tail -n 20 "$folder/log"; }
	rm -rf "$folder"
	exit "$status"
}
trap finish EXIT

for _ in $(seq 150); do
	curl -fsS "$url/readyz" >/dev/null 2>&1 && break
	kill -0 "$server" 2>/dev/null || exit 1
	sleep 0.2
done
curl -fsS "$url/readyz" >/dev/null
cd frontend && LEAT_E2E_URL=$url npm run --silent e2e -- "$@"
