#!/usr/bin/env bash
# Walks through the pages in a real browser against real servers: bin/leat with
# its invented people on a private database, gone afterwards. Each worker of the
# test runner has a server of its own, so that no walk meets what another one
# changes. LEAT_E2E_WORKERS says how many; arguments go to the test runner.
set -euo pipefail
cd "$(dirname "$0")/.."

folder=$(mktemp -d)
chmod 755 "$folder"
servers=()
finish() {
	status=$?
	for server in "${servers[@]}"; do kill "$server" 2>/dev/null || true; done
	for server in "${servers[@]}"; do wait "$server" || true; done
	[ "$status" = 0 ] || { echo 'The end of the server logs:'; tail -n 20 "$folder"/*.log; }
	rm -rf "$folder"
	exit "$status"
}
trap finish EXIT

urls=()
# All ports are held before one is let go, or two servers might get the same.
for port in $(node -e '
	const { once } = require("events"), { createServer } = require("net");
	const all = Array.from({ length: Number(process.argv[1]) }, () => createServer().listen(0, "127.0.0.1"));
	Promise.all(all.map((s) => once(s, "listening"))).then(() => all.forEach((s) => { console.log(s.address().port); s.close(); }));
' "${LEAT_E2E_WORKERS:-2}"); do
	url=http://localhost:$port
	env -u LEAT_DATABASE_URL -u LEAT_DATABASE_URL_FILE LEAT_DATA="$folder/$port" LEAT_LISTEN="localhost:$port" LEAT_PUBLIC_URL="$url" \
		bin/leat try >"$folder/$port.log" 2>&1 &
	servers+=($!)
	urls+=("$url")
done

for i in "${!urls[@]}"; do
	for _ in $(seq 600); do
		curl -fsS "${urls[i]}/readyz" >/dev/null 2>&1 && break
		kill -0 "${servers[i]}" 2>/dev/null || exit 1
		sleep 0.2
	done
	curl -fsS "${urls[i]}/readyz" >/dev/null
done
cd frontend && LEAT_E2E_URL="${urls[*]}" npm run --silent e2e -- "$@"
