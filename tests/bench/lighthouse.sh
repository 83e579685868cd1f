#!/usr/bin/env bash
# Lighthouse's scores of the home page, a symptom and a flow of the demonstration, as a server that compresses sends them.
# Needs a published site, Chromium and npm; fetches Lighthouse through npx. The median of RUNS (3)
# runs with all runs beside it: a busy machine makes them differ by 15 points. Usage: bash tests/bench/lighthouse.sh [SITE] [RUNS]
set -euo pipefail
cd "$(dirname "$0")/../.."
site=$(realpath "${1:-site-out}")
runs=${2:-3}
folder=$(mktemp -d)
trap 'kill "$server" 2>/dev/null; rm -rf "$folder"' EXIT
node tests/bench/compressing-server.js "$site" >"$folder/address" &
server=$!
until [ -s "$folder/address" ]; do sleep 0.1; done
base=$(cat "$folder/address")
for form in mobile desktop; do
  for page in index.html symptoms/speed-hum.html flows/speed-hum.html; do
    preset=$([ "$form" = desktop ] && echo --preset=desktop || true)
    for run in $(seq "$runs"); do
      CHROME_PATH=${BAYBOOK_CHROMIUM:-/usr/bin/chromium} npx --yes lighthouse@12.8.2 "$base$page" $preset --quiet --output=json \
        --only-categories=performance,accessibility,best-practices --chrome-flags="--headless=new --no-sandbox" --output-path="$folder/$run.json"
    done
    node -e '
      const [name, ...files] = process.argv.slice(1);
      const reports = files.map((file) => JSON.parse(require("node:fs").readFileSync(file, "utf8")));
      reports.sort((a, b) => a.categories.performance.score - b.categories.performance.score);
      const report = reports[Math.floor(reports.length / 2)];
      const scores = Object.values(report.categories).map((it) => `${it.id} ${Math.round(it.score * 100)}`);
      const raw = ["first-contentful-paint", "largest-contentful-paint", "total-blocking-time", "cumulative-layout-shift", "speed-index"].map((id) => `${id} ${report.audits[id].displayValue}`);
      const all = reports.map((it) => Math.round(it.categories.performance.score * 100));
      console.log(`${name}: ${scores.join(", ")} (runs ${all.join(" ")}; ${raw.join(", ")}; processor index ${Math.round(report.environment.benchmarkIndex)})`);
    ' "$form $page" $(seq -f "$folder/%g.json" "$runs")
  done
done
