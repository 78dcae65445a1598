"""Recomputes consumption from top-ups with CoolProp's masses, SciPy's Theil–Sen slope and Python's
own calendar.

Standard input: {input, sheet} of gas-top-up with one volume in L, gauge pressures in bar, barometer
in hPa, temperatures in °C, masses in g. Ends with status 1 when something is off.
"""

import datetime
import json
import statistics
import sys

from CoolProp.CoolProp import PropsSI
from scipy import stats

case = json.load(sys.stdin)
given, sheet = case["input"], case["sheet"]


def number(text):
    return float(text.split()[0])


def contents(state):
    p = number(state["gauge_pressure"]) * 1e5 + number(state["barometer"]) * 100
    t = number(state["temperature"]) + 273.15
    return number(given["volume"]) / 1e3 * PropsSI("D", "T", t, "P", p, given["gas"].capitalize())


days, sums, intervals = [0.0], [0.0], []
last = None
for top_up in given["top_ups"]:
    now = datetime.datetime.fromisoformat(top_up["at"])
    if last is not None:
        interval = (now - last[0]).total_seconds() / 86400
        if last[1] is not None and "before" in top_up:
            loss = last[1] - contents(top_up["before"])
        elif "mass" in top_up:
            loss = number(top_up["mass"]) / 1e3
        else:
            loss = contents(top_up["after"]) - contents(top_up["before"])
        intervals.append(interval)
        days.append(days[-1] + interval)
        sums.append(sums[-1] + loss)
    last = (now, contents(top_up["after"]) if "after" in top_up else None)

trend = stats.theilslopes(sums, days, 0.90)
expected = {
    "median_interval": statistics.median(intervals),
    "loss_total": sums[-1],
    "rate": 1e3 * sums[-1] / days[-1],
    "trend": 1e3 * trend.slope,
    "trend_low": 1e3 * trend.low_slope,
    "trend_high": 1e3 * trend.high_slope,
}
values = {result["name"]: float(result["value"]) for result in sheet["results"] if result["unit"]}
bad = 0
for name, theirs in expected.items():
    error = abs(values[name] / theirs - 1)
    bad += not error <= 3e-4
    print(f"{name}: {values[name]} against {theirs:.6g}, off by {error:.1e}")
print(f"{len(expected)} checked, {bad} off")
sys.exit(1 if bad else 0)
