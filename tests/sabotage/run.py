"""Breaks the program on purpose, one place at a time, and sees that the tests notice each.

    python3 tests/sabotage/run.py [--sample N] [--seed S] [--only NUMBER …] [--list]

Every condition that keeps barns apart and every word of the policy is broken in a copy of the sources, each
behind a number; the copy is built once, and the tests run once for each number until one of them fails.
Runs on SQLite: there no row-level security stands behind what is broken.
"""
import argparse
import json
import os
import random
import shutil
import subprocess
import sys
import tempfile
import time
from collections import Counter
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from breaks import Break, write_all

HERE = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", HERE / "target")).absolute()
# in the order in which they are asked; the first that fails has noticed
SUITES = [
    ("policy table", "policy_table", []),
    ("twins", "promises", ["twins::", "--skip", "::postgres"]),
    ("access", "promises", ["access::", "--skip", "::postgres"]),
    ("resources", "api", ["--skip", "::postgres", "--skip", "lint::", "--skip", "document::"]),
]


def copy_to(root: Path) -> None:
    files = subprocess.run(["git", "ls-files", "-z"], cwd=HERE, check=True, capture_output=True, text=True).stdout
    for name in filter(None, files.split("\0")):
        if (HERE / name).is_file():
            (root / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy2(HERE / name, root / name)
    # another version, so that what is built of it never stands in for what is built of the sources
    manifest = root / "Cargo.toml"
    manifest.write_text(manifest.read_text().replace('version = "0.1.0"', 'version = "0.0.1"', 1))


def take_over(root: Path, kept: Path) -> None:
    """Brings what changed to the copy that is kept between runs, so that little has to be built again."""
    new = {path.relative_to(root) for path in root.rglob("*") if path.is_file()}
    old = {path.relative_to(kept) for path in kept.rglob("*") if path.is_file()}
    for name in old - new:
        (kept / name).unlink()
    for name in new:
        if name not in old or (kept / name).read_bytes() != (root / name).read_bytes():
            (kept / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(root / name, kept / name)


def build(root: Path) -> dict[str, str]:
    """Builds the tests of the broken copy; answers their programs by name."""
    environment = {**os.environ, "CARGO_TARGET_DIR": str(TARGET)}
    command = ["cargo", "test", "--workspace", "--no-run", "--message-format=json-render-diagnostics", "--test", "promises", "--test", "api",
               "--test", "policy_table"]
    built = subprocess.run(command, cwd=root, env=environment, stdout=subprocess.PIPE, text=True)
    if built.returncode != 0:
        sys.exit("the broken copy does not build")
    messages = map(json.loads, filter(lambda line: line.startswith("{"), built.stdout.splitlines()))
    return {m["target"]["name"]: m["executable"] for m in messages if m.get("executable") and m["profile"]["test"]}


def noticed(root: Path, programs: dict[str, str], broken: Break, suites: list) -> str | None:
    """The suite that fails with this break; none where all pass."""
    environment = {**os.environ, "STRIDEWRIGHT_BREAK": str(broken.number), "RUST_BACKTRACE": "0"}
    for name, program, arguments in suites:
        if name == "policy table" and broken.kind == "barn":
            continue  # it asks no database
        folder = root / ("core" if program == "policy_table" else "tests")
        try:
            ran = subprocess.run([programs[program], *arguments], cwd=folder, env=environment, capture_output=True,
                                 text=True, timeout=900)
        except subprocess.TimeoutExpired:
            return name
        if ran.returncode != 0:
            return name
        if "running 0 tests" in ran.stdout:
            sys.exit(f"{name}: there is no such test")
    return None


def main() -> None:
    arguments = argparse.ArgumentParser(description="Breaks the program on purpose and sees that the tests notice.")
    arguments.add_argument("--sample", type=int, help="only so many, drawn by the seed")
    arguments.add_argument("--seed", type=int, default=int(time.time()))
    arguments.add_argument("--only", type=int, nargs="*", help="only these numbers")
    arguments.add_argument("--suites", nargs="*", help="only these suites", choices=[name for name, _, _ in SUITES])
    arguments.add_argument("--jobs", type=int, default=2, help="so many at once")
    arguments.add_argument("--list", action="store_true", help="say what can be broken, and end")
    wanted = arguments.parse_args()
    began = time.monotonic()
    suites = [suite for suite in SUITES if not wanted.suites or suite[0] in wanted.suites]
    root = TARGET / "broken"
    with tempfile.TemporaryDirectory(prefix="stridewright-broken.") as folder:
        copy_to(Path(folder))
        breaks = write_all(Path(folder))
        if wanted.list:
            for b in breaks:
                print(f"{b.number:4} {b.kind:6} {b.place}: {b.text}")
            return
        root.mkdir(parents=True, exist_ok=True)
        take_over(Path(folder), root)
    programs = build(root)
    if (red := noticed(root, programs, Break(0, "", "", ""), suites)) is not None:
        sys.exit(f"nothing is broken, and {red} fails")
    chosen = breaks
    if wanted.only:
        chosen = [b for b in breaks if b.number in wanted.only]
    elif wanted.sample is not None:
        chosen = random.Random(wanted.seed).sample(breaks, wanted.sample)
        print(f"a sample of {wanted.sample} of {len(breaks)}, by the seed {wanted.seed}")
    caught, survivors = Counter(), []
    pool = ThreadPoolExecutor(wanted.jobs)
    for b, suite in zip(chosen, pool.map(lambda b: noticed(root, programs, b, suites), chosen)):
        print(f"{b.number:4} {b.kind:6} {b.place}: {suite or 'NOT NOTICED'}  {b.text}", flush=True)
        if suite is None:
            survivors.append(b)
        else:
            caught[suite] += 1
    by_suite = ", ".join(f"{suite} {n}" for suite, n in caught.items())
    print(f"sabotage: {caught.total()} of {len(chosen)} breaks noticed ({by_suite}) in {time.monotonic() - began:.0f} s")
    if survivors:
        sys.exit("not noticed: " + ", ".join(f"{b.number} ({b.place})" for b in survivors))


main()
