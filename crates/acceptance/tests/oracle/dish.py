"""Own oracle for the shape of a dish: SciPy's quadrature and exact reflection in NumPy.

Reads a list of {diameter, focal, results}. The surface is integrated as an area of revolution, the
angle of the rim comes from the triangle of rim, focus and axis, curvatures from finite differences
of the profile, and the smallest receiver from reflecting the edge of the sun's disc at every ring.
"""

import json
import sys

import numpy as np
from scipy.integrate import quad

cases = json.load(sys.stdin)
worst = 0.0


def compare(name, got, expected, tolerance):
    global worst
    error = abs(float(got) / expected - 1)
    worst = max(worst, error / tolerance)
    assert error <= tolerance, (name, got, expected)


for case in cases:
    d, f, out = case["diameter"], case["focal"], case["results"]
    rim, depth = d / 2, d * d / (16 * f)
    area = quad(lambda r: 2 * np.pi * r * np.hypot(1, r / (2 * f)), 0, rim, epsrel=1e-13)[0]
    compare("surface", out["surface"], area, 1e-7)
    compare("rim", out["rim_angle"], np.degrees(np.arctan2(rim, f - depth)), 1e-7)
    compare("rim_to_focus", out["rim_to_focus"], np.hypot(rim, f - depth), 1e-7)

    def lands(r, theta):
        n = np.array([-r / (2 * f), 1.0])
        n /= np.linalg.norm(n)
        ray = np.array([np.sin(theta), -np.cos(theta)])
        ray = ray - 2 * (ray @ n) * n
        return abs(r + (f - r * r / (4 * f)) / ray[1] * ray[0]) if ray[1] > 0 else np.inf

    theta = case["sun"]
    flat = 2e3 * max(lands(r, s * theta) for r in np.linspace(1e-3, rim, 400) for s in (-1, 1))
    if "smallest_flat" in out:
        compare("smallest_flat", out["smallest_flat"], flat, 1e-6)
    else:
        assert not np.isfinite(flat), flat
    r = float(case["radius"])
    step = 1e-4 * f
    height = lambda r: r * r / (4 * f)
    slope = (height(r + step) - height(r - step)) / (2 * step)
    bend = (height(r + step) - 2 * height(r) + height(r - step)) / step**2
    compare("R_m", out["radius_meridional"], (1 + slope**2) ** 1.5 / bend, 1e-6)
    compare("R_s", out["radius_sagittal"], r * np.hypot(1, slope) / slope, 1e-6)
    compare("slope", out["radius_slope"], np.degrees(np.arctan(slope)), 1e-6)

print(f"{len(cases)} dishes agree, worst {worst:.2g} of the tolerance")
