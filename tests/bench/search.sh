#!/usr/bin/env bash
# Figures of the search, from one command: tests/bench/search.sh [ENTRIES]
# The quality of results against two general-purpose libraries, the size and speed of a large index, the demo's start.
# Libraries are fetched into a temporary folder; a Chromium is taken from $CHROMIUM.
set -euo pipefail
cd "$(dirname "$0")/../.."
entries="${1:-100000}"
work="${WORK:-$(mktemp -d)}"
mkdir -p "$work/large"
cargo build --release --quiet --bin baybook --example search_index
target/release/baybook publish --out "$work/site" --report short >&2
target/release/examples/search_index "$entries" "$work/large" > "$work/large/figures.json"
(cd "$work" && npm install --silent --no-save minisearch@7.2.0 lunr@2.3.9 playwright-core >&2)
NODE_PATH="$work/node_modules" CHROMIUM="${CHROMIUM:-/usr/bin/chromium}" node tests/bench/search.js "$work/site" "$work/large"
