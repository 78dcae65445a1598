"""Oracle for soiling: scipy's Theil-Sen, Kendall and seasonal slopes; an independent bootstrap.

Reads one JSON object: `groups` (lists of day, value), `confidence`, `threshold`, `relative` (standard
uncertainty of what all share), and the results of the calculation.
"""

import json
import sys

import numpy as np
from scipy import stats

case = json.load(sys.stdin)
results, groups = case["results"], [np.array(g, float) for g in case["groups"]]
confidence = case["confidence"]
slips = []


def check(name, value, allowed):
    got = float(results[name])
    if not abs(got - value) <= allowed:
        slips.append(f"{name}: {got} against {value}")


if len(groups) == 1:
    x, y = groups[0].T
    found = stats.theilslopes(y, x, confidence)
    check("rate", found.slope, 6e-6 * abs(found.slope))
    check("rate_low", found.low_slope, 6e-6 * abs(found.low_slope))
    check("rate_high", found.high_slope, 6e-6 * abs(found.high_slope))
    check("intercept", found.intercept, 1e-5)
    check("tau", stats.kendalltau(x, y).statistic, 1e-5)
elif case.get("seasons"):
    # As many readings at equal steps in each period: seasons in SciPy's sense.
    step = groups[0][1, 0] - groups[0][0, 0]
    table = np.stack([g[:, 1] for g in groups], axis=1)
    within, pooled = stats.mstats.sen_seasonal_slopes(table)
    check("rate", float(pooled) / step, 6e-6 * abs(float(pooled) / step))

# The bootstrap, written anew: residuals of each period's line, scaled, drawn with replacement.
def pooled_slope(parts):
    slopes = []
    for x, y in parts:
        i, j = np.triu_indices(len(x), 1)
        slopes.append((y[j] - y[i]) / (x[j] - x[i]))
    return np.median(np.concatenate(slopes))


def level(x, y, b):
    return np.median(y) - b * np.median(x)


parts = [(g[:, 0], g[:, 1]) for g in groups]
b = pooled_slope(parts)
lines = [(x, level(x, y, b) + b * x) for x, y in parts]
n = sum(len(x) for x, _ in parts)
rest = np.concatenate([y - line for (_, y), (_, line) in zip(parts, lines)])
rest = (rest - rest.mean()) * np.sqrt(n / (n - len(parts) - 1))
rng = np.random.default_rng(1)
dates = []
for _ in range(3000):
    drawn = [(x, line + rng.choice(rest, len(x))) for x, line in lines]
    slope = pooled_slope(drawn)
    off = 1 + case["relative"] * rng.normal()
    a = level(*drawn[-1], slope)
    dates.append((case["threshold"] / off - a) / slope if slope < 0 else np.inf)
dates = np.array(dates)
last = groups[-1][-1, 0]
a = level(*parts[-1], b)
check("days_left", (case["threshold"] - a) / b - last, 1e-4 * abs(last))
spread = dates.std(ddof=1)
if abs(float(results["u_days_left"]) / spread - 1) > 0.08:
    slips.append(f"standard uncertainty {results['u_days_left']} against {spread}")
tail = 50 * (1 - confidence)
for name, share in (("early", tail), ("late", 100 - tail)):
    expected = np.percentile(dates, share)
    # A calendar day is known to a day; the ends of two sets of some thousand trials differ by a
    # tenth of their spread.
    if not -0.3 * spread - 1.0 <= results[name] - expected <= 0.3 * spread:
        slips.append(f"{name}: day {results[name]} against {expected}, spread {spread}")
print("agrees" if not slips else "differs\n" + "\n".join(slips))
sys.exit(1 if slips else 0)
