"""Compares fractions over time with SciPy's integrator.

Standard input: a JSON list of {volume, air, release, mixing, start, stops, at, fraction, level,
reaches}: SI units, fractions; `stops`, `level` and `reaches` may be null. While gas comes in the
balance of the mean is integrated and multiplied by f; after it stops, f divides the air changes, as
in the standard. Ends with status 1 when something is off, or nothing came.
"""

import json
import sys

from scipy.integrate import solve_ivp
from scipy.optimize import brentq

bad = checked = 0
for case in json.load(sys.stdin):
    f, v, q, g = case["mixing"], case["volume"], case["air"], case["release"]
    stops = case["stops"] if case["stops"] is not None else 1e99
    end = min(stops, case["at"])
    # The mean: what comes in less what goes out with all that goes out.
    rate = lambda _, c: [(g - (g + q) * c[0]) / v]
    inside = solve_ivp(rate, (0, end), [case["start"] / f], rtol=1e-10, atol=1e-14, dense_output=True)
    fraction = f * inside.y[0][-1]
    if case["at"] > stops:
        after = solve_ivp(
            lambda _, x: [-q / (v * f) * x[0]], (0, case["at"] - stops), [fraction], rtol=1e-10, atol=1e-14
        )
        fraction = after.y[0][-1]
    checked += 1
    error = abs(case["fraction"] / fraction - 1)
    bad += not error <= 1e-5
    print(f"X: {case['fraction']} against {fraction:.8g}, off by {error:.1e}")
    if case["reaches"] is not None:
        time = brentq(lambda t: f * inside.sol(t)[0] - case["level"], 0, end)
        error = abs(case["reaches"] / time - 1)
        checked += 1
        bad += not error <= 1e-5
        print(f"t: {case['reaches']} against {time:.8g} s, off by {error:.1e}")
print(f"{checked} checked, {bad} off")
sys.exit(1 if bad or not checked else 0)
