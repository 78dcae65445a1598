"""Own oracle for the ray trace: another way of tracing, in NumPy.

Reads a list of cases, facets with their settings in SI units. A parallel beam from a drawn place of
the sun falls on a square around each facet and is intersected with the facet's sphere in closed
form; what hits outside of the facet's outline is dropped. So rays are even over the beam by
themselves, where the program weighs places on the facet. The set normal is found by
`scipy.optimize.fsolve` from the aim point, then turned by a rotation. Compares intercept, area and
the middle of each facet's light.
"""

import json
import sys

import numpy as np
from scipy.optimize import fsolve
from scipy.spatial.transform import Rotation

rng = np.random.default_rng(20)
cases = json.load(sys.stdin)
worst = 0.0


def unit(v):
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def normal_for(centre, aim):
    def missed(t):
        n = unit(np.array([t[0], t[1], 1.0]))
        d = np.array([0, 0, -1.0])
        r = d - 2 * (d @ n) * n
        at = centre + r * (aim[2] - centre[2]) / r[2]
        return at[:2] - aim[:2]

    t = fsolve(missed, [-centre[0] / (2 * aim[2]), -centre[1] / (2 * aim[2])], xtol=1e-13)
    return unit(np.array([t[0], t[1], 1.0]))


def shaken(v, sigma):
    a = unit(np.cross(v, np.array([0.0, 1.0, 0.0])))
    b = np.cross(v, a)
    g = sigma * rng.standard_normal((2, len(v), 1))
    return unit(v + a * g[0] + b * g[1])


def trace(case, facet, n):
    f, r, beta = case["focal"], facet["radius"], facet["bearing"]
    out, side = np.array([np.sin(beta), np.cos(beta), 0]), np.array([np.cos(beta), -np.sin(beta), 0])
    up = np.array([0, 0, 1.0])
    centre = out * r + up * r * r / (4 * f)
    normal = normal_for(centre, np.array([*facet["aim"], f]))
    along = unit(out - (out @ normal) * normal)
    tx, ty = facet["tilt"]
    radial, across = tx * out[0] + ty * out[1], tx * side[0] + ty * side[1]
    # Turning about `side` by a positive angle moves the normal outward or inward; choose by trial.
    turn = Rotation.from_rotvec(np.cross(normal, along * radial + side * across))
    normal, along = turn.apply(normal), turn.apply(along)
    side = unit(side - (side @ normal) * normal)
    along = unit(along - (along @ normal) * normal - (along @ side) * side)
    radius = facet["sphere"]
    middle = centre + normal * radius
    # The beam.
    sun = unit(np.array([-np.sin(case["pointing"][0]), -np.sin(case["pointing"][1]), 1.0]))
    theta = case["sun"] * np.sqrt(rng.random(n))
    turn = 2 * np.pi * rng.random(n)
    a = unit(np.cross(sun, np.array([0.0, 1.0, 0.0])))
    b = np.cross(sun, a)
    to_sun = unit(
        sun + a * (np.tan(theta) * np.cos(turn))[:, None] + b * (np.tan(theta) * np.sin(turn))[:, None]
    )
    half = 0.5 * np.hypot(facet["width"], facet["height"]) * 1.01
    start = centre + a * (half * (2 * rng.random(n) - 1))[:, None] + b * (half * (2 * rng.random(n) - 1))[:, None]
    # |start − t·to_sun − middle|² = radius², the far crossing.
    q = start - middle
    qd = (q * to_sun).sum(1)
    t = qd + np.sqrt(qd**2 - (q**2).sum(1) + radius**2)
    at = start - to_sun * t[:, None]
    local = at - centre
    keep = (np.abs(local @ side) <= facet["width"] / 2) & (np.abs(local @ along) <= facet["height"] / 2)
    at, to_sun = at[keep], to_sun[keep]
    n_at = shaken((middle - at) / radius, facet["slope"])
    d = -to_sun
    d = shaken(d - 2 * (d * n_at).sum(1)[:, None] * n_at, facet["scatter"])
    xy = (at + d * ((case["plane"] - at[:, 2]) / d[:, 2])[:, None])[:, :2]
    return keep.mean() * (2 * half) ** 2, xy


for case in cases:
    n = case["rays"]
    area, caught, variance = 0.0, 0.0, 0.0
    for facet in case["facets"]:
        a, xy = trace(case, facet, n)
        hit = np.hypot(*xy.T) <= case["receiver"]
        area, caught = area + a, caught + a * hit.mean()
        variance += a**2 * hit.var() / len(hit)
        se = xy.std(0) * np.sqrt(1 / len(xy) + 1 / facet["rays"])
        off = np.abs(xy.mean(0) * 1e3 - np.array(facet["middle"])) / (se * 1e3)
        worst = max(worst, off.max() / 4.5)
        assert (off < 4.5).all(), (facet, xy.mean(0) * 1e3)
    assert abs(area / case["area"] - 1) < 0.01, (area, case["area"])
    share, se = caught / area, np.hypot(np.sqrt(variance) / area, case["error"])
    off = abs(share - case["intercept"]) / se
    worst = max(worst, off / 4)
    assert off < 4, (case["intercept"], share, se)

print(f"{len(cases)} cases agree, worst {worst:.2g} of the tolerance")
