#!/usr/bin/env python3
"""Changes one line of the program at a time and sees whether a test notices (cargo-mutants).

    tests/mutants.py draw  --seed 20261125 --count 300                what would be tried, one a line
    tests/mutants.py run   --seed 20261125 --count 300 --shard 0/6    tries them; --minutes 60 begins none later
    tests/mutants.py score                                            what came of all that were tried

Drawn from the judge and from the rooms check, cloth, fit and stitches. Works in a copy under target/mutants, with the
tests that need neither a browser nor the typesetter; the judge's own are tried first. What was tried is kept in
target/mutants/results.json and not tried again. A whole run takes hours, so it is no part of ./check.
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
JUDGE = "crates/latchwork-machine/"
# Quick ones first: the first file that fails ends a trial.
TESTS = ["rehearsal", "yarn", "notes", "suites", "world", "fit", "plan_file", "reader", "revise", "laws", "solver", "cloth"]
NEEDS_MORE = ("latchwork_print", "latchwork_web", "fantoccini", "tokio")
# The judge's tests need only the judge: a trial takes seconds.
JUDGE_TESTS = """[package]
name = "judge-tests"
version.workspace = true
edition.workspace = true

[lib]
name = "latchwork_tests"
path = "lib.rs"

[[test]]
name = "rehearsal"
path = "../tests/tests/rehearsal.rs"

[dependencies]
latchwork-machine.workspace = true
"""
# Compiling is most of a trial: less of it for what is changed each time.
QUICKER = "".join(
    f"\n[profile.release.package.{name}]\nopt-level = {level}\n"
    for name, level in [("latchwork-machine", 1), ("latchwork-thread", 3), ("latchwork", 1), ("latchwork-tests", 1), ("judge-tests", 0)]
)


def tree():
    """A copy of the maker and its tests without what draws and serves pages: a third of the compiling."""
    for part in ["crates", "tests", "judge", "designs", "docs", "benches"]:
        if (TREE / part).exists():
            shutil.rmtree(TREE / part)
    for crate in CRATES:
        shutil.copytree(ROOT / "crates" / crate, TREE / "crates" / crate)
    for part in ["tests", "designs", "docs", "benches"]:
        shutil.copytree(ROOT / part, TREE / part)
    shutil.rmtree(TREE / "tests" / "examples")
    shutil.copy(ROOT / "Cargo.lock", TREE / "Cargo.lock")
    top = (ROOT / "Cargo.toml").read_text()
    top = re.sub(r"members = .*", 'members = ["crates/*", "tests", "judge"]', top)
    top = re.sub(r"latchwork-(web|print) = .*\n", "", top)
    (TREE / "Cargo.toml").write_text(top + QUICKER)
    (TREE / "judge").mkdir()
    (TREE / "judge" / "Cargo.toml").write_text(JUDGE_TESTS)
    (TREE / "judge" / "lib.rs").write_text('#[path = "../tests/src/passes.rs"]\npub mod passes;\n')
    manifest = (ROOT / "tests" / "Cargo.toml").read_text().splitlines()
    more = re.compile(r"(fantoccini|hyper-util|tokio|latchwork-print|latchwork-web)\b")
    (TREE / "tests" / "Cargo.toml").write_text("\n".join(line for line in manifest if not more.match(line)) + "\n")
    for path in (TREE / "tests" / "tests").glob("*.rs"):
        if path.stem not in TESTS or any(word in path.read_text() for word in NEEDS_MORE):
            path.unlink()


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


def trial(name, package, tests):
    """What comes of one mutant. In place: the tree is a copy, and its target is never copied again."""
    out = WORK / "out"
    shutil.rmtree(out, ignore_errors=True)
    subprocess.run(
        ["cargo", "mutants", "--dir", TREE, "--in-place", "--output", out, *files(), "--re", f"^{re.escape(name)}$",
         "--baseline", "skip", "--timeout", "600", "--build-timeout", "900", "--profile", "release",
         "--test-package", package, *[f"--cargo-test-arg=--test={test}" for test in tests]],
        env=tool(), check=False, stdout=subprocess.DEVNULL)
    for what in ("caught", "missed", "unviable", "timeout"):
        if name in (out / "mutants.out" / f"{what}.txt").read_text().splitlines():
            return what
    sys.exit(f"{name} came to nothing: see {out}")


def run(seed, count, shard, minutes):
    tree()
    names, of = drawn(seed, count)
    k, n = map(int, shard.split("/"))
    mine = names[k::n]
    print(f"seed {seed}: {len(names)} drawn of {of} mutants, {len(mine)} in shard {shard}", flush=True)
    tests = [name for name in TESTS if (TREE / "tests" / "tests" / f"{name}.rs").exists()]
    # Unchanged, all must pass.
    for package, wanted in [("judge-tests", ["rehearsal"]), ("latchwork-tests", tests)]:
        subprocess.run(["cargo", "test", "--release", "-q", "-p", package, *[w for t in wanted for w in ("--test", t)]],
                       cwd=TREE, env=tool(), check=True, stdout=subprocess.DEVNULL)
    until = time.time() + 60 * minutes
    for name in mine:
        found = json.loads(RESULTS.read_text()) if RESULTS.exists() else {}
        if name in found.get(str(seed), {}):
            continue
        if time.time() > until:
            break
        outcome = trial(name, "judge-tests", ["rehearsal"]) if name.startswith(JUDGE) else "missed"
        if outcome == "missed":
            outcome = trial(name, "latchwork-tests", tests)
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
