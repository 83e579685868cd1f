#!/usr/bin/env bash
# Lighthouse's scores of the home page, a symptom and a flow of the demonstration, as a server that compresses sends them.
# Needs a published site, Chromium and npm; fetches Lighthouse through npx. Usage: bash tests/bench/lighthouse.sh [SITE]
set -euo pipefail
cd "$(dirname "$0")/../.."
site=$(realpath "${1:-site-out}")
folder=$(mktemp -d)
trap 'kill "$server" 2>/dev/null; rm -rf "$folder"' EXIT
node tests/bench/compressing-server.js "$site" >"$folder/address" &
server=$!
until [ -s "$folder/address" ]; do sleep 0.1; done
base=$(cat "$folder/address")
for form in mobile desktop; do
  for page in index.html symptoms/speed-hum.html flows/speed-hum.html; do
    preset=$([ "$form" = desktop ] && echo --preset=desktop || true)
    CHROME_PATH=${BAYBOOK_CHROMIUM:-/usr/bin/chromium} npx --yes lighthouse@12.8.2 "$base$page" $preset --quiet --output=json \
      --only-categories=performance,accessibility,best-practices --chrome-flags="--headless=new --no-sandbox" --output-path="$folder/report.json"
    node -e '
      const report = JSON.parse(require("node:fs").readFileSync(process.argv[1], "utf8"));
      const scores = Object.values(report.categories).map((it) => `${it.id} ${Math.round(it.score * 100)}`);
      const missed = Object.values(report.audits).filter((it) => it.score !== null && it.score < 0.9 && !["informative", "manual", "notApplicable"].includes(it.scoreDisplayMode)).map((it) => it.id);
      console.log(`${process.argv[2]}: ${scores.join(", ")}${missed.length ? ` (below 90: ${missed.join(", ")})` : ""}`);
    ' "$folder/report.json" "$form $page"
  done
done
