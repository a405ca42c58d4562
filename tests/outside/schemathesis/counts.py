"""Prints how the requests of a run were answered, by phase. An operation that was never done is a failure: then what is
there was not reached, and nothing is shown."""
import collections
import json
import sys

answers, good, asked = collections.Counter(), collections.defaultdict(set), collections.defaultdict(set)
for phase, operation, mode, status, n in json.load(open(sys.argv[1], encoding="utf-8")):
    answers[phase, mode, status] += n
    asked[phase].add(operation)
    if mode == "positive" and status < 300:
        good[phase].add(operation)
for phase in asked:
    for mode in ("positive", "negative"):
        line = [f"{n} x {status}" for (p, m, status), n in sorted(answers.items()) if (p, m) == (phase, mode)]
        print(f"  {phase}, {mode}: {', '.join(line) or 'none'}")
    print(f"  {phase}: {len(good[phase])} of {len(asked[phase])} operations were done")
never = set().union(*asked.values()) - set().union(*good.values())
print(f"  never done in any phase: {', '.join(sorted(never)) or 'none'}")
sys.exit(bool(never) or not asked)
