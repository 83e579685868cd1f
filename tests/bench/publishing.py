#!/usr/bin/env python3
"""How long publishing takes against the least that it could: tests/bench/publishing.py [COUNT…]

For each count (1,000 and 10,000 unless others are named) it makes a folder of invented entries, then runs a floor
program (read, split, YAML with positions, Markdown to HTML, write a file of the same size, on all cores) and `baybook
publish` in turn, five times each, and prints medians with their spread: wall time, CPU time, peak memory. Two things
are reported apart, by a run with `--timings`: flows, and waiting until the disk has everything, which the floor does not do. Each
run writes to a folder of its own and nothing is removed before the end, as ext4 is slow to make files where many were
just removed. Python's standard library alone; builds what it needs.
"""
import os, re, statistics, subprocess, sys, tempfile, time

ROOT = os.path.abspath(os.path.join(os.path.dirname(__file__), "..", ".."))
BIN = os.path.join(os.environ.get("CARGO_TARGET_DIR", os.path.join(ROOT, "target")), "release")
KINDS = ("symptoms", "conditions", "characteristics", "checks", "systems", "guides")
RUNS = int(os.environ.get("RUNS", "5"))


def run(*command):
    """Runs a command; seconds, CPU seconds, peak KB, what it said, its status."""
    begin = time.monotonic()
    with tempfile.TemporaryFile() as said:
        process = subprocess.Popen(command, stdout=said, stderr=said)
        _, status, used = os.wait4(process.pid, 0)
        wall = time.monotonic() - begin
        said.seek(0)
        text = said.read().decode()
    if status:
        sys.exit(f"{' '.join(command)} failed:\n{text[-2000:]}")
    return {"wall": wall, "cpu": used.ru_utime + used.ru_stime, "kb": used.ru_maxrss, "said": text}


def timings(text):
    return {name: float(ms) / 1000 for name, ms in re.findall(r"^timing +([a-z ]+?) +([0-9.]+) ms", text, re.M)}


def spread(values, form="{:.2f}"):
    return "{} ({} to {})".format(*(form.format(v) for v in (statistics.median(values), min(values), max(values))))


def edit(kb, at):
    """Changes a word in the text of one entry."""
    folder = os.path.join(kb, "guides")
    path = os.path.join(folder, sorted(os.listdir(folder))[0])
    with open(path, "a", encoding="utf-8") as entry:
        entry.write(f"\nOne more sentence, number {at}.\n")


def measure(count, work):
    kb = os.path.join(work, "kb")
    publish = lambda out, *more: run(f"{BIN}/baybook", "publish", "--kb", kb, "--out", out, "--report", "short", *more)
    os.makedirs(kb)
    run(f"{BIN}/examples/synthetic", str(count), kb)
    first = os.path.join(work, "first")
    publish(first)
    pages = [os.path.getsize(os.path.join(at, name)) for at, _, names in os.walk(first)
             for name in names if os.path.basename(at) in KINDS]
    size = sum(pages) // len(pages)
    floors, fulls, timed, sames, ones = [], [], [], [], []
    for at in range(RUNS):
        out, bare = os.path.join(work, f"site{at}"), os.path.join(work, f"floor{at}")
        os.sync()
        floors.append(run(f"{BIN}/examples/floor", kb, bare, str(size)))
        os.sync()
        fulls.append(publish(out))
        os.sync()
        timed.append(publish(os.path.join(work, f"timed{at}"), "--timings"))
        sames.append(publish(out))
        # The first edit after a first publish also makes the second copy of the site, where the next one is put together.
        edit(kb, f"{at} a")
        publish(out)
        edit(kb, f"{at} b")
        ones.append(publish(out))
    apart = [{"flows": sum(s for name, s in timings(run["said"]).items() if "flow" in name or name == "decision"),
              "settling": timings(run["said"]).get("settling", 0)} for run in timed]
    flows, settling = [a["flows"] for a in apart], [a["settling"] for a in apart]
    plain = [full["wall"] - sum(a.values()) for full, a in zip(fulls, apart)]
    base = statistics.median(r["wall"] for r in floors)
    whole = statistics.median(r["wall"] for r in fulls)
    print(f"\n{count} entries, pages of {size} bytes; seconds: median (least to most) of {RUNS}")
    print(f"  floor               wall {spread([r['wall'] for r in floors])}  CPU {spread([r['cpu'] for r in floors])}"
          f"  peak {spread([r['kb'] / 1024 for r in floors], '{:.0f}')} MB")
    print(f"  publish             wall {spread([r['wall'] for r in fulls])}  CPU {spread([r['cpu'] for r in fulls])}"
          f"  peak {spread([r['kb'] / 1024 for r in fulls], '{:.0f}')} MB")
    print(f"  of which flows      {spread(flows)}, waiting for the disk {spread(settling)}")
    print(f"  without both        {spread(plain)}  = {statistics.median(plain) / base:.2f} times the floor (goal 2.0)")
    print(f"  peak an entry       {statistics.median(r['kb'] for r in fulls) / count:.1f} KB (goal 60)")
    for name, runs, goal in (("nothing changed", sames, 10), ("one entry changed", ones, 15)):
        wall = statistics.median(r["wall"] for r in runs)
        print(f"  {name:<19} wall {spread([r['wall'] for r in runs])}  = {100 * wall / whole:.0f} % of publish (goal {goal} %)")
    print("  rooms of the median publish with --timings, which does in turn what else goes side by side:")
    typical = sorted(timed, key=lambda r: r["wall"])[len(timed) // 2]
    for name, seconds in timings(typical["said"]).items():
        print(f"    {name:<20} {1000 * seconds:8.0f} ms")
    return statistics.median(plain)


def main():
    counts = [int(word) for word in sys.argv[1:]] or [1_000, 10_000]
    subprocess.run(["cargo", "build", "--release", "--locked", "--quiet", "--bin", "baybook", "--example", "synthetic",
                    "--example", "floor"], cwd=ROOT, check=True)
    taken = {}
    with tempfile.TemporaryDirectory() as work:
        for count in counts:
            taken[count] = measure(count, os.path.join(work, str(count)))
    for count in counts:
        if count // 10 in taken:
            print(f"\n{count} entries take {taken[count] / taken[count // 10] / 10:.2f} times ten times what {count // 10} take")


if __name__ == "__main__":
    main()
