#!/usr/bin/env bash
# How long publishing takes where flows are many: 200 symptoms, each with 12 candidates and 10 checks at the counter.
set -euo pipefail
cd "$(dirname "$0")/../.."
work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
cargo build --release --locked --quiet --bin baybook --example flows
"${CARGO_TARGET_DIR:-target}/release/examples/flows" "$work/kb"
for run in 1 2 3; do
  echo "run $run"
  ("${CARGO_TARGET_DIR:-target}/release/baybook" publish --kb "$work/kb" --out "$work/site$run" --report short --timings >/dev/null) 2>&1 |
    grep -E "timing (decision|flow|all)"
done
