#!/usr/bin/env python3
"""Changes one line of the program at a time and looks whether a test notices (cargo-mutants).

    tests/mutants.py draw  --seed 20261125 --count 300    what would be tried, one a line
    tests/mutants.py run   --seed 20261125 --count 300 --shard 0/6 [--minutes 60]
    tests/mutants.py score                                what all shards came to

Drawn from the judge and from the rooms check, cloth, fit and stitches. Works in a copy under target/mutants, with the
tests that need neither a browser nor the typesetter; a run takes hours, so it is no part of ./check.
"""

import argparse
import json
import math
import os
import random
import re
import shutil
import subprocess
import sys
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
WORK = ROOT / "target" / "mutants"
TREE = WORK / "tree"
TOOL = WORK / "tool"
RESULTS = WORK / "results.json"
CRATES = ["latchwork-machine", "latchwork-thread", "latchwork"]
ROOMS = ["crates/latchwork-machine/src/**/*.rs"] + [
    f"crates/latchwork/src/{room}/**/*.rs" for room in ("check", "cloth", "fit", "stitches")
]
# Quick ones first: the first that fails ends a trial.
TESTS = ["rehearsal", "yarn", "notes", "suites", "world", "plan_file", "reader", "tidy", "fit", "revise", "laws", "solver", "thread", "cloth"]
NEEDS_MORE = ("latchwork_print", "latchwork_web", "fantoccini", "tokio")


def tree():
    """A copy of the maker and its tests without what draws and serves pages: a third of the compiling."""
    for part in ["crates", "tests", "designs", "docs", "benches"]:
        if (TREE / part).exists():
            shutil.rmtree(TREE / part)
    for crate in CRATES:
        shutil.copytree(ROOT / "crates" / crate, TREE / "crates" / crate)
    for part in ["tests", "designs", "docs", "benches"]:
        shutil.copytree(ROOT / part, TREE / part)
    shutil.copy(ROOT / "Cargo.lock", TREE / "Cargo.lock")
    top = (ROOT / "Cargo.toml").read_text()
    top = re.sub(r"members = .*", 'members = ["crates/*", "tests"]', top)
    top = re.sub(r"latchwork-(web|print) = .*\n", "", top)
    (TREE / "Cargo.toml").write_text(top + "\n[workspace.metadata]\nmade-by = \"tests/mutants.py\"\n")
    manifest = (ROOT / "tests" / "Cargo.toml").read_text()
    kept = [line for line in manifest.splitlines() if not re.match(r"(fantoccini|hyper-util|tokio|latchwork-print|latchwork-web)\b", line)]
    (TREE / "tests" / "Cargo.toml").write_text("\n".join(kept) + "\n")
    for path in (TREE / "tests" / "tests").glob("*.rs"):
        if path.stem not in TESTS or any(word in path.read_text() for word in NEEDS_MORE):
            path.unlink()
    shutil.rmtree(TREE / "tests" / "examples")


def tool():
    """cargo-mutants, in a folder of its own."""
    if not (TOOL / "bin" / "cargo-mutants").exists():
        subprocess.run(["cargo", "install", "cargo-mutants", "--locked", "--root", TOOL], check=True)
    return dict(os.environ, PATH=f"{TOOL / 'bin'}:{os.environ['PATH']}", INSTA_UPDATE="no", INSTA_FORCE_PASS="0",
                LATCHWORK_PYTHON=os.environ.get("LATCHWORK_PYTHON", str(ROOT / "target/outside/bin/python")))


def files():
    return [word for room in ROOMS for word in ("--file", room)]


def drawn(seed, count):
    """The mutants by name, as drawn: the same for one seed and one state of the program."""
    listed = subprocess.run(["cargo", "mutants", "--dir", TREE, "--list", *files()], env=tool(), check=True, capture_output=True, text=True)
    names = sorted(listed.stdout.splitlines())
    return random.Random(seed).sample(names, min(count, len(names))), len(names)


def wilson(caught, tried):
    """The 95 % interval of a share (Wilson)."""
    if not tried:
        return 0.0, 0.0, 1.0
    z, p = 1.959964, caught / tried
    middle = (p + z * z / (2 * tried)) / (1 + z * z / tried)
    half = z / (1 + z * z / tried) * math.sqrt(p * (1 - p) / tried + z * z / (4 * tried * tried))
    return p, middle - half, middle + half


def run(seed, count, shard, minutes):
    tree()
    names, of = drawn(seed, count)
    k, n = map(int, shard.split("/"))
    mine = names[k::n]
    print(f"seed {seed}: {len(names)} of {of} mutants, {len(mine)} in shard {shard}", flush=True)
    tests = [word for name in TESTS if (TREE / "tests" / "tests" / f"{name}.rs").exists() for word in ("--test", name)]
    found = json.loads(RESULTS.read_text()) if RESULTS.exists() else {}
    until = time.time() + 60 * minutes
    first = True
    for name in mine:
        if name in found.get(str(seed), {}) or time.time() > until:
            continue
        # In place: the tree is a copy, and its target is never copied again.
        subprocess.run(
            ["cargo", "mutants", "--dir", TREE, "--in-place", "--output", WORK / "out", *files(), "--re", f"^{re.escape(name)}$",
             "--baseline", "run" if first else "skip", "--timeout", "900", "--build-timeout", "900", "--profile", "release", "--test-workspace", "false", "--test-package", "latchwork-tests", "--cargo-test-arg=-q", *[f"--cargo-test-arg={word}" for word in tests]],
            env=tool(), check=False)
        first = False
        outcome = next((what for what in ("caught", "missed", "unviable", "timeout") if name in (WORK / "out/mutants.out" / f"{what}.txt").read_text().splitlines()), None)
        if outcome is None:
            sys.exit(f"{name} came to nothing: see {WORK / 'out'}")
        found.setdefault(str(seed), {})[name] = outcome
        RESULTS.write_text(json.dumps(found, indent=1))
        print(f"{outcome:9}{name}", flush=True)


def score():
    for seed, found in json.loads(RESULTS.read_text()).items():
        count = {what: sum(1 for o in found.values() if o == what) for what in ("caught", "timeout", "missed", "unviable")}
        caught, viable = count["caught"] + count["timeout"], len(found) - count["unviable"]
        p, low, high = wilson(caught, viable)
        print(f"seed {seed}: {len(found)} tried, {count['unviable']} not viable; {caught} of {viable} noticed: {p:.1%} ({low:.1%} to {high:.1%})")
        for name in (n for n, o in found.items() if o == "missed"):
            print(f"  missed: {name}")


def main():
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("do", choices=["draw", "run", "score"])
    ask.add_argument("--seed", type=int, default=20261125)
    ask.add_argument("--count", type=int, default=300)
    ask.add_argument("--shard", default="0/1")
    ask.add_argument("--minutes", type=float, default=1e6)
    args = ask.parse_args()
    if args.do == "draw":
        tree()
        print("\n".join(drawn(args.seed, args.count)[0]))
    elif args.do == "run":
        run(args.seed, args.count, args.shard, args.minutes)
    else:
        score()


if __name__ == "__main__":
    main()
