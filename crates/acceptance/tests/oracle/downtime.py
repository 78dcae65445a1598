"""Availability by another method: every minute of the period is looked at by itself.

Own oracle, no outside source. Reads {"input": …, "operational": …, "technical": …, "mtbf": …,
"mttr": …, "hours": {class: hours}} and ends with status 1 when one differs.
"""

import json
import sys
from datetime import datetime, timedelta

case = json.load(sys.stdin)
given = case["input"]
start, end = (datetime.fromisoformat(given[key]) for key in ("from", "to"))
records = [
    (
        datetime.fromisoformat(r["from"]),
        datetime.fromisoformat(r["to"]) if "to" in r else end,
        r["class"],
        r.get("kind"),
    )
    for r in given["records"]
]
records.sort(key=lambda r: r[0])
excluded = set(given.get("excluded", []))
technical = set(given.get("technical_down", []))
count = dict.fromkeys(["counted", "up", "technical_up", "forced"], 0)
hours = {}
failures = events = 0
before = any(r[3] == "forced" and r[0] < start < r[1] for r in records)
was_forced = False
minute = timedelta(minutes=1)
now = start
while now < end:
    here = [r for r in records if r[0] <= now < r[1]]
    classes = [r[2] for r in here]
    forced = any(r[3] == "forced" for r in here)
    count["forced"] += forced
    if forced and not was_forced:
        events += 1
        failures += not (before and now == start)
    was_forced = forced
    known = [c for c in classes if c != "unknown"]
    out = [c for c in classes if c in excluded]
    if out:
        hours[out[0]] = hours.get(out[0], 0) + 1 / 60
    else:
        count["counted"] += 1
        if known:
            hours[known[0]] = hours.get(known[0], 0) + 1 / 60
            count["technical_up"] += not technical.intersection(known)
        elif classes:
            hours["unknown"] = hours.get("unknown", 0) + 1 / 60
        else:
            count["up"] += 1
            count["technical_up"] += 1
    now += minute

expected = {
    "operational": 100 * count["up"] / count["counted"],
    "technical": 100 * count["technical_up"] / count["counted"],
    "mtbf": count["up"] / 60 / failures if failures else 0,
    "mttr": count["forced"] / 60 / events if events else 0,
}
bad = [
    f"{name}: {case[name]} expected {value}"
    for name, value in expected.items()
    if abs(case[name] - value) > 1e-4 * abs(value) + 1e-9
]
for name in set(hours) | set(case["hours"]):
    if abs(hours.get(name, 0) - case["hours"].get(name, 0)) > 2e-3:
        bad.append(f"{name}: {case['hours'].get(name)} h expected {hours.get(name)}")
print("\n".join(bad) or "agrees")
sys.exit(1 if bad else 0)
