"""Prints how the requests of a run were answered, by phase, and which operations never did what was asked of them."""
import collections
import json
import sys

by_phase, good, asked = collections.Counter(), set(), set()
for phase, operation, mode, status, n in json.load(open(sys.argv[1], encoding="utf-8")):
    by_phase[phase, mode, status] += n
    if mode == "positive":
        asked.add((phase, operation))
        if status < 300:
            good.add((phase, operation))
for phase in sorted({phase for phase, _, _ in by_phase}):
    for mode in ("positive", "negative"):
        line = {status: n for (p, m, status), n in sorted(by_phase.items()) if (p, m) == (phase, mode)}
        print(f"  {phase} {mode}: " + ", ".join(f"{n} x {status}" for status, n in line.items()))
    never = sorted(operation for p, operation in asked - good if p == phase)
    print(f"  {phase}: {len(never)} operations were never done: {' '.join(never)}")
