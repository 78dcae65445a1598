"""Oracle for reflectance surveys: scipy.stats for intervals and tests, uncertainties for the ratio.

Reads one JSON object: the input of the calculation and its results.
"""

import json
import sys

import numpy as np
from scipy import stats
from uncertainties import ufloat

case = json.load(sys.stdin)
given, results = case["input"], case["results"]
values = lambda name: np.array([float(r["value"]) for r in given[name]])
confidence = float(given["confidence"].rstrip(" %")) / 100
after, before = values("readings"), values("before")
expected, tolerance = {}, 2e-5
mean = after.mean()
expected["mean"] = mean
expected["deviation"] = after.std(ddof=1)
facets = [r.get("facet") for r in given["readings"]]
if facets[0] is None:
    low, high = stats.t.interval(confidence, len(after) - 1, loc=mean, scale=stats.sem(after))
    error = stats.sem(after)
    # Welch's test, its interval of the difference.
    test = stats.ttest_ind(after, before, equal_var=False)
    expected["gain"] = mean - before.mean()
else:
    # As many spots on every facet: the facets' means are what is independent.
    names = sorted(set(facets))
    means = np.array([after[[f == n for f in facets]].mean() for n in names])
    low, high = stats.t.interval(confidence, len(names) - 1, loc=mean, scale=stats.sem(means))
    error = stats.sem(means)
    then = np.array([before[[r["facet"] == n for r in given["before"]]].mean() for n in names])
    test = stats.ttest_rel(means, then)
    expected["gain"] = (means - then).mean()
interval = test.confidence_interval(confidence)
expected["low"], expected["high"] = low, high
expected["gain_half_width"] = (interval.high - interval.low) / 2
clean, u = float(given["clean_reference"]), float(given["uncertainty"]["clean_reference"]["value"])
ratio = ufloat(mean, error) / ufloat(clean, u)
expected["cleanliness"] = ratio.n
wanted = float(given["wanted_half_width"])
s = error * np.sqrt(len(after) if facets[0] is None else len(names))
n = 2
while stats.t.ppf(0.5 + confidence / 2, n - 1) * s / np.sqrt(n) > wanted:
    n += 1
expected["needed"] = n
slips = []
for name, value in expected.items():
    got = float(results[name]["value"])
    if abs(got - value) > tolerance * abs(value) + 1e-9:
        slips.append(f"{name}: {got} against {value}")
got = float(results["cleanliness"]["standard_uncertainty"])
if abs(got / ratio.s - 1) > 1e-3:
    slips.append(f"u of cleanliness: {got} against {ratio.s}")
print("agrees" if not slips else "differs\n" + "\n".join(slips))
sys.exit(1 if slips else 0)
