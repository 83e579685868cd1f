#!/usr/bin/env bash
# Figures of the search against their goals, from one command: tests/bench/search.sh [ENTRIES]
# The quality of results against two general-purpose libraries, the size, making and speed of a large index, the demo's
# start. Packages from npm are fetched into a temporary folder (or $WORK, which is kept); a Chromium is taken from
# $CHROMIUM. Times suffer from whatever else the machine does: the load is printed, medians and extremes are given.
set -euo pipefail
cd "$(dirname "$0")/../.."
entries="${1:-100000}"
if [ -n "${WORK:-}" ]; then
  work="$(realpath -m "$WORK")"
else
  work="$(mktemp -d)"
  trap 'rm -rf "$work"' EXIT
fi
mkdir -p "$work/large" "$work/medium"
cargo build --release --quiet --bin baybook --example search_index
target/release/baybook publish --out "$work/site" --report short >&2
target/release/examples/search_index 10000 "$work/medium" > "$work/medium/figures.json"
rm -rf "$work/large/data"
target/release/examples/search_index "$entries" "$work/large" > "$work/large/figures.json"
(cd "$work" && npm install --silent --no-save --no-package-lock minisearch@7.2.0 lunr@2.3.9 chrome-remote-interface@0.34.0 >&2)
export NODE_PATH="$work/node_modules" CHROMIUM="${CHROMIUM:-/usr/bin/chromium}"
node tests/bench/search.js "$work/site" "$work/large" "$work/medium"
