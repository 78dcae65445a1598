"""Own oracle for the intercept: another way of summing, by SciPy and NumPy.

Reads a list of cases. The ring integral is taken as printed in the handbooks, over the real angle
in the focal plane and over φ with the weight sin φ/(1 + cos φ)², by many points. With a pointing
error the light is drawn: normal scatter in angle about the turned ray, projected on to the focal
plane. The paraxial form with a pointing error is `scipy.stats.ncx2`.
"""

import json
import sys

import numpy as np
from scipy.stats import ncx2

cases = json.load(sys.stdin)
worst = 0.0
for case in cases:
    f, rim, inner, r = case["f"], case["rim"], case["inner"], case["r"]
    normal, ray, b = case["normal"], case["ray"], case["bias"]
    sigma = np.sqrt(4 * normal**2 + ray**2)
    low, high = 2 * np.arctan(inner / (2 * f)), 2 * np.arctan(rim / (2 * f))
    x, w = np.polynomial.legendre.leggauss(60)
    phi, w = low + (high - low) * (x + 1) / 2, w
    weight = w * np.sin(phi) / (1 + np.cos(phi)) ** 2
    p = 2 * f / (1 + np.cos(phi))
    theta = np.linspace(0, 2 * np.pi, 1440, endpoint=False)

    def rings(across):
        sx, sy = p * sigma / np.cos(phi), p * across
        a = (np.cos(theta) / sx[:, None]) ** 2 + (np.sin(theta) / sy[:, None]) ** 2
        ring = ((1 - np.exp(-(r**2) * a / 2)) / (a * (sx * sy)[:, None])).mean(axis=1)
        return (weight * ring).sum() / weight.sum()

    def compare(name, expected, tolerance):
        global worst
        error = abs(float(case[name]) - expected)
        worst = max(worst, error / tolerance)
        assert error <= tolerance, (case, name, expected)

    across = np.sqrt((2 * normal * np.cos(phi / 2)) ** 2 + ray**2)
    if b == 0:
        compare("intercept", rings(np.full_like(phi, sigma)), 2e-7)
        compare("intercept_refined", rings(across), 2e-7)
        compare("intercept_paraxial", 1 - np.exp(-(r**2) / (2 * f**2 * sigma**2)), 2e-7)
    else:
        expected = ncx2.cdf((r / (f * sigma)) ** 2, 2, (b / sigma) ** 2)
        compare("intercept_paraxial", expected, 2e-7)
        rng = np.random.default_rng(1)
        n = 2_000_000
        at = np.sqrt(inner**2 + (rim**2 - inner**2) * (np.arange(n) + rng.random(n)) / n)
        turn = rng.random(n) * 2 * np.pi
        angle = 2 * np.arctan(at / (2 * f))
        way = f + at**2 / (4 * f)
        for name, s in (("intercept", sigma), ("intercept_refined", None)):
            s = np.sqrt((2 * normal * np.cos(angle / 2)) ** 2 + ray**2) if s is None else s
            u = b * np.cos(turn) + sigma * rng.standard_normal(n)
            v = b * np.sin(turn) + s * rng.standard_normal(n)
            hit = np.hypot(way * u / np.cos(angle), way * v) <= r
            compare(name, hit.mean(), 4 * np.sqrt(hit.mean() * (1 - hit.mean()) / n))

print(f"{len(cases)} cases agree, worst {worst:.2g} of the tolerance")
