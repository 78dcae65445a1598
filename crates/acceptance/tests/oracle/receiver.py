"""Oracle for receiver temperatures: every exchange by numpy.linalg.lstsq, F by scipy.stats.

Reads one JSON object: `channels` (quadrant, place, bearing in degrees), `values` in °C, `expected` or
null for the symmetrical pattern, and the results of the calculation. The chance of the best pair is
simulated anew with other draws.
"""

import itertools
import json
import sys

import numpy as np
from scipy import stats

case = json.load(sys.stdin)
got, y = case["results"], np.array(case["values"], float)
quadrants = sorted({c[0] for c in case["channels"]})
places = sorted({c[1] for c in case["channels"]})
if case["expected"] is None:
    base = np.array([[float(c[1] == p) for p in places] for c in case["channels"]])
    pattern = np.hstack(
        [base[:, 1:], [[float(c[0] == q) for q in quadrants] for c in case["channels"]]]
    )
else:
    base = pattern = np.stack([np.ones_like(y), case["expected"]], 1)


def ssq(m, values):
    x, _, rank, _ = np.linalg.lstsq(m, values, rcond=None)
    assert rank == m.shape[1]
    r = values - m @ x
    return r @ r


def best(values):
    found = []
    for i, j in itertools.combinations(range(len(values)), 2):
        other = values.copy()
        other[[i, j]] = other[[j, i]]
        found.append((ssq(pattern, other), i, j))
    return min(found)


slips = []


def check(name, value, allowed):
    if abs(float(got[name]) - value) > allowed:
        slips.append(f"{name}: {got[name]} against {value}")


n = len(y)
plain = ssq(pattern, y)
least, i, j = best(y)
check("pattern_rms", np.sqrt(plain / n), 0.0051)
check("pattern_rms_exchanged", np.sqrt(least / n), 0.0051)
check("pair_explains", 100 * max(0, 1 - least / plain), 0.01)
if got["best_pair"] != f"{case['names'][i]}, {case['names'][j]}":
    slips.append(f"pair {got['best_pair']} against {case['names'][i]}, {case['names'][j]}")
# The chance, with other draws and the pairs by the residual maker.
maker = np.eye(n) - pattern @ np.linalg.pinv(pattern)
fitted, s = y - maker @ y, np.sqrt(plain / (n - pattern.shape[1]))
rng, hits, draws = np.random.default_rng(7), 0, 1000
i, j = np.triu_indices(n, 1)
soft = maker[i, i] + maker[j, j] - 2 * maker[i, j]
for _ in range(draws):
    drawn = fitted + s * rng.normal(size=n)
    r = maker @ drawn
    d = drawn[j] - drawn[i]
    after = r @ r + 2 * d * (r[i] - r[j]) + d * d * soft
    hits += 1 - after.min() / (r @ r) >= 1 - least / plain
p = (hits + 1) / (draws + 1)
check("pair_by_chance", 100 * p, 100 * (5 * np.sqrt(2 * p * (1 - p) / draws) + 0.001))
# Heat to one side.
b = np.radians([c[2] for c in case["channels"]])
right = y.copy()
for one, other in case["put_right"]:
    right[[one, other]] = right[[other, one]]
m = np.column_stack([base, np.sin(b), np.cos(b)])
x = np.linalg.lstsq(m, right, rcond=None)[0]
full, level = ssq(m, right), ssq(base, right)
nu = n - m.shape[1]
check("heat", np.hypot(x[-2], x[-1]), 0.0051)
check("heat_bearing", np.degrees(np.arctan2(x[-2], x[-1])) % 360, 0.051)
chance = 100 * stats.f.sf((level - full) / 2 / (full / nu), 2, nu)
check("heat_by_chance", chance, 6e-3 * chance)
print("agrees" if not slips else "differs\n" + "\n".join(slips))
sys.exit(1 if slips else 0)
