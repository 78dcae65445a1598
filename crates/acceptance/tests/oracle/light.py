"""Oracle for the light that misaligned facets cost: SciPy's dblquad over the aperture, SciPy's
noncentral chi-square where the spot is round, and own Monte Carlo rays in three dimensions.

Reads {input, tables}. Nothing here knows how the calculation integrates: dblquad takes the Gaussian
over the disc as it stands, and the rays are thrown about the exactly reflected one, both ways at
right angles by the beam error, and projected onto the focal plane.
"""

import json
import sys

import numpy as np
from scipy.integrate import dblquad
from scipy.optimize import fsolve
from scipy.stats import ncx2

case = json.load(sys.stdin)
given, tables = case["input"], {t["name"]: t for t in case["tables"]}
UNITS = {"m": 1.0, "mm": 1e-3, "mrad": 1e-3, "m²": 1.0, "W/m²": 1.0, "%": 1e-2, "°": np.pi / 180}


def si(text):
    value, unit = text.replace("\u2212", "-").split()
    return float(value) * UNITS[unit]


f, light = si(given["focal_length"]), given["light"]
sigma, radius = si(light["beam_error"]), si(light["aperture_radius"])
lamp = si(given["lamp_distance"]) if "lamp_distance" in given else None
rng = np.random.default_rng(7)


def unit(v):
    return v / np.linalg.norm(v, axis=-1, keepdims=True)


def reflected(at, n, source):
    back = np.array([0, 0, 1.0]) if source is None else unit(np.array([0, 0, source]) - at)
    return 2 * np.dot(back, n) * n - back


def on_plane(at, out):
    return at[:2] + out[..., :2] * (f - at[2]) / out[..., 2:3]


def normal_for(at, wanted, source):
    flat = lambda d: unit(np.array([-at[0] / (2 * f) + d[0], -at[1] / (2 * f) + d[1], 1.0]))
    off = lambda d: 1e3 * (on_plane(at, reflected(at, flat(d), source)) - wanted)
    return flat(fsolve(off, [0.0, 0.0], xtol=1e-14))


def gaussian(at, middle):
    """Share by dblquad, in axes along the radius and across."""
    r = np.hypot(at[0], at[1])
    e = at[:2] / r if r else np.array([0.0, 1.0])
    a, b = np.dot(middle, e), np.dot(middle, [e[1], -e[0]])
    p = f + r * r / (4 * f)
    cos = 2 * f / p - 1
    sx, sy = p * sigma / cos, p * sigma
    if r == 0:
        return ncx2.cdf((radius / sx) ** 2, 2, (a * a + b * b) / sx**2)
    density = lambda y, x: np.exp(-0.5 * ((x - a) / sx) ** 2 - 0.5 * ((y - b) / sy) ** 2) / (2 * np.pi * sx * sy)
    edge = lambda x: np.sqrt(max(radius**2 - x * x, 0.0))
    low, high = max(-radius, a - 9 * sx), min(radius, a + 9 * sx)
    if low >= high:
        return 0.0
    return dblquad(density, low, high, lambda x: max(-edge(x), min(edge(x), b - 9 * sy)),
                   lambda x: min(edge(x), max(-edge(x), b + 9 * sy)), epsabs=1e-9, epsrel=1e-9)[0]


def rays(at, n, count=1_000_000):
    out = reflected(at, n, None)
    side = unit(np.cross(out, [0.3, 0.5, 0.1]))
    other = np.cross(out, side)
    spread = sigma * rng.standard_normal((count, 2))
    hits = on_plane(at, out + spread[:, :1] * side + spread[:, 1:] * other)
    return np.mean(np.hypot(hits[:, 0], hits[:, 1]) <= radius)


rows = {row[0]: dict(zip(tables["facets"]["columns"], row)) for row in tables["facets"]["rows"]}
survey = {row["facet"]: row for row in given["survey"]}
slips, worst, worst_rays, lost, racks = [], 0.0, 0.0, 0.0, {}
for place, facet in enumerate(given["facets"]):
    name, r, b = facet["facet"], si(facet["radius"]), si(facet["bearing"])
    at = np.array([r * np.sin(b), r * np.cos(b), r * r / (4 * f)])
    aim = np.array([si(facet["aim_x"]), si(facet["aim_y"])])
    n = normal_for(at, np.array([si(survey[name]["dx"]), si(survey[name]["dy"])]), lamp)
    middle = on_plane(at, reflected(at, n, None))
    aimed, now = gaussian(at, aim), gaussian(at, middle)
    sent = si(light["reflectance"]) * si(light["irradiance"]) * si(light["facet_area"]) * np.cos(np.arctan(r / (2 * f)))
    shown = [float(rows[name][head]) for head in ("aimed %", "caught %", "lost W")]
    off = max(abs(shown[0] - 100 * aimed), abs(shown[1] - 100 * now)) / 100
    worst = max(worst, off)
    if off > 6e-6 or abs(shown[2] - sent * (aimed - now)) > 0.006:
        slips.append(f"{name}: {shown}, not {100 * aimed:.4f}, {100 * now:.4f}, {sent * (aimed - now):.3f} W")
    lost += sent * (aimed - now)
    racks[facet["rack"]] = racks.get(facet["rack"], 0.0) + sent * (aimed - now)
    if place % 7 == 0:
        thrown = rays(at, n)
        worst_rays = max(worst_rays, abs(thrown - now))
        # First order in σ against the projection of thrown rays, and their own scatter.
        if abs(thrown - now) > 5e-3 * max(1.0, sigma / 4e-3) + 4 * np.sqrt(0.25 / 1e6):
            slips.append(f"{name}: rays {thrown:.5f}, not {now:.5f}")
for row in tables["light_racks"]["rows"]:
    row = dict(zip(tables["light_racks"]["columns"], row))
    if abs(float(row["lost kW"]) - racks[row["rack"]] / 1e3) > 6e-4:
        slips.append(f"{row}: not {racks[row['rack']] / 1e3}")
print(f"{'agrees' if not slips else 'differs'}: worst {worst:.1e} of a spot by dblquad, {worst_rays:.1e} by rays")
print(json.dumps({"lost_kW": lost / 1e3}))
print("\n".join(slips[:20]))
sys.exit(1 if slips else 0)
