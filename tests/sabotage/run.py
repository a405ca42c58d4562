"""Breaks the program on purpose, one place at a time, and sees that the tests notice each.

    python3 tests/sabotage/run.py [--sample N] [--seed S] [--only NUMBER …] [--list]

Every condition that keeps barns apart, every question about who asks and every word of the policy is broken in a copy
of the sources, each behind a number; the copy is built once, and the tests run for each number until one of them
fails. Runs on SQLite: there no row-level security stands behind what is broken.
"""
import argparse
import atexit
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

from breaks import write_all
from excluded import without
from sources import Break
from suites import Suites

HERE = Path(__file__).resolve().parents[2]
TARGET = Path(os.environ.get("CARGO_TARGET_DIR", HERE / "target")).absolute()
# what noticed each break the last time: it only says what to ask first
LAST = TARGET / "broken-noticed.json"


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
    # kept beside, so that another build does not take them away under a run
    kept = tempfile.mkdtemp(prefix="broken-programs.", dir=TARGET)
    atexit.register(shutil.rmtree, kept, True)
    messages = map(json.loads, filter(lambda line: line.startswith("{"), built.stdout.splitlines()))
    made = {m["target"]["name"]: m["executable"] for m in messages if m.get("executable") and m["profile"]["test"]}
    return {name: shutil.copy2(program, kept) for name, program in made.items()}


def name(b: Break) -> str:
    # with its line: the same words may stand twice in a file, and one that is noticed says nothing of the other
    return f"{b.place} {b.text}"


def try_all(suites: Suites, chosen: list[Break], jobs: int, last: dict[str, str]) -> tuple[Counter, list[Break]]:
    """Which suites noticed how many, and what none noticed."""
    caught, survivors = Counter(), []

    def ask(b: Break) -> tuple[str | None, str | None]:
        part = suites.noticed(b, last.get(name(b)))
        return (part.suite, part.name) if part else (None, None)

    pool = ThreadPoolExecutor(jobs)
    try:
        for b, (suite, part) in zip(chosen, pool.map(ask, chosen)):
            print(f"{b.number:4} {b.kind:8} {b.place}: {part or 'NOT NOTICED'}  {b.text[:160]}", flush=True)
            if part is None:
                survivors.append(b)
            else:
                caught[suite] += 1
                last[name(b)] = part
                LAST.write_text(json.dumps(last, indent=1))
    finally:
        pool.shutdown(cancel_futures=True)
    return caught, survivors


def main() -> None:
    arguments = argparse.ArgumentParser(description="Breaks the program on purpose and sees that the tests notice.")
    arguments.add_argument("--sample", type=int, help="only so many, drawn by the seed")
    arguments.add_argument("--seed", type=int, default=int(time.time()))
    arguments.add_argument("--only", type=int, nargs="*", help="only these numbers")
    arguments.add_argument("--kinds", nargs="*", help="only these kinds")
    arguments.add_argument("--left", action="store_true", help="only those that nothing noticed so far")
    arguments.add_argument("--suites", nargs="*", help="only these suites")
    arguments.add_argument("--jobs", type=int, default=2, help="so many at once")
    arguments.add_argument("--list", action="store_true", help="say what can be broken, and end")
    wanted = arguments.parse_args()
    began = time.monotonic()
    root = TARGET / "broken"
    with tempfile.TemporaryDirectory(prefix="stridewright-broken.") as folder:
        copy_to(Path(folder))
        breaks = without(write_all(Path(folder)))
        if wanted.list:
            for b in breaks:
                print(f"{b.number:4} {b.kind:8} {b.place}: {b.text}")
            return
        root.mkdir(parents=True, exist_ok=True)
        take_over(Path(folder), root)
    suites = Suites(root, build(root), wanted.suites)
    built = time.monotonic()
    chosen = [b for b in breaks if not wanted.kinds or b.kind in wanted.kinds]
    if wanted.only:
        chosen = [b for b in breaks if b.number in wanted.only]
    elif wanted.sample is not None:
        chosen = random.Random(wanted.seed).sample(breaks, wanted.sample)
        print(f"a sample of {wanted.sample} of {len(breaks)}, by the seed {wanted.seed}")
    last = json.loads(LAST.read_text()) if LAST.is_file() else {}
    if wanted.left:
        chosen = [b for b in chosen if name(b) not in last]
    caught, survivors = try_all(suites, chosen, wanted.jobs, last)
    by_suite = ", ".join(f"{suite} {n}" for suite, n in caught.most_common())
    now = time.monotonic()
    print(f"sabotage: {caught.total()} of {len(chosen)} breaks noticed ({by_suite}) in {now - built:.0f} s, "
          f"after {built - began:.0f} s of building")
    if survivors:
        sys.exit("not noticed: " + ", ".join(f"{b.number} ({b.place})" for b in survivors))


main()
