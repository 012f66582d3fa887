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

ports=$(node -e '
	// All ports are held before one is let go, or two servers might get the same.
	const { once } = require("events"), { createServer } = require("net");
	const all = Array.from({ length: Number(process.argv[1]) }, () => createServer().listen(0, "127.0.0.1"));
	Promise.all(all.map((s) => once(s, "listening"))).then(() => all.forEach((s) => { console.log(s.address().port); s.close(); }));
' "${LEAT_E2E_WORKERS:-3}")

serve() { # port
	env -u LEAT_DATABASE_URL -u LEAT_DATABASE_URL_FILE LEAT_DATA="$folder/$1" LEAT_LISTEN="localhost:$1" LEAT_PUBLIC_URL="http://localhost:$1" \
		bin/leat try >>"$folder/$1.log" 2>&1 &
	servers+=($!)
}

ready() { # port
	for _ in $(seq 600); do
		curl -fsS "http://localhost:$1/readyz" >/dev/null 2>&1 && return
		kill -0 "${servers[-1]}" 2>/dev/null || break
		sleep 0.2
	done
	echo "The server on port $1 does not answer." >&2
	exit 1
}

# The first server fills its database with the invented people; the others have copies.
first=${ports%%$'\n'*}
serve "$first"
ready "$first"
kill "${servers[0]}"
wait "${servers[0]}" || true
servers=()
for port in $ports; do
	[ "$port" = "$first" ] || cp -a "$folder/$first" "$folder/$port"
done
for port in $ports; do
	serve "$port"
	ready "$port"
done
urls=$(printf 'http://localhost:%s ' $ports)
cd frontend && LEAT_E2E_URL="${urls% }" npm run --silent e2e -- "$@"
