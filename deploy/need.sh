#!/usr/bin/env bash
# Sees that something leat needs is there: go and node must be brought along;
# a PostgreSQL server and Chromium are installed through apt where that can be
# done, else the command is named.
#
#	deploy/need.sh go|node|postgres|chromium ...
set -euo pipefail

at_least() { # version wanted
	[ "$(printf '%s\n%s\n' "$2" "$1" | sort -V | head -n 1)" = "$2" ]
}

refuse() { printf 'leat needs %s\n' "$1" >&2; exit 1; }

install() { # package
	if [ "$(id -u)" = 0 ] && command -v apt-get >/dev/null; then
		echo "Installing $1 ..."
		apt-get update -qq && DEBIAN_FRONTEND=noninteractive apt-get install -y -qq --no-install-recommends "$1" >/dev/null
	else
		refuse "$1. Install it, on Debian with: sudo apt-get install $1"
	fi
}

for thing in "$@"; do
	case $thing in
	go)
		command -v go >/dev/null || refuse 'Go 1.26 or newer: see https://go.dev/doc/install'
		have=$(go env GOVERSION) && at_least "${have#go}" 1.26 || refuse "Go 1.26 or newer, this is $have: see https://go.dev/doc/install"
		;;
	node)
		command -v npm >/dev/null || refuse 'Node.js 20.19 or newer with npm: see https://nodejs.org'
		have=$(node --version) && at_least "${have#v}" 20.19 || refuse "Node.js 20.19 or newer, this is $have: see https://nodejs.org"
		;;
	postgres)
		[ -z "${LEAT_DATABASE_URL:-}${LEAT_DATABASE_URL_FILE:-}" ] || continue
		[ -z "${LEAT_POSTGRES_BIN:-}" ] || continue
		ls /usr/lib/postgresql/*/bin/postgres >/dev/null 2>&1 || command -v postgres >/dev/null || install postgresql
		;;
	chromium)
		# Without windows to draw it takes half the time; the whole Chromium will do.
		[ ! -x "${LEAT_CHROMIUM:-/usr/bin/chromium-headless-shell}" ] || continue
		(install chromium-headless-shell) 2>/dev/null || [ -x /usr/bin/chromium ] || install chromium
		;;
	*)
		echo "need.sh: what is $thing?" >&2
		exit 2
		;;
	esac
done
