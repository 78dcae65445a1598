"""Oracle for tracking errors: pvlib's solar position and NumPy's statistics.

Reads one JSON object: the input of the calculation (axes against a computed sun) and its results by
name. The sun is that of `pvlib.solarposition.spa_python`; errors by the cross and dot product of
unit vectors, split along unit vectors of the sky at the sun; the percentile is NumPy's
`inverted_cdf`.
"""

import json
import sys

import numpy as np
import pandas as pd
from pvlib import solarposition

case = json.load(sys.stdin)
given, got = case["input"], case["results"]


def number(text):
    return float(text.split()[0])


times = pd.DatetimeIndex([pd.Timestamp(r["at"]).tz_convert("UTC") for r in given["readings"]])
shift = pd.Timedelta(seconds=number(given.get("clock_ahead", "0 s")))


def sun(moments):
    found = solarposition.spa_python(
        moments, number(given["latitude"]), number(given["longitude"]),
        altitude=number(given["altitude"]), pressure=100 * number(given["barometer"]),
        temperature=number(given["temperature"]), delta_t=number(given["delta_t"]),
    )
    return np.radians(found.azimuth.values), np.radians(found.apparent_elevation.values)


def vector(azimuth, elevation):
    c = np.cos(elevation)
    return np.stack([c * np.sin(azimuth), c * np.cos(azimuth), np.sin(elevation)], axis=-1)


def errors(azimuth, elevation, at, up):
    axis, s = vector(azimuth, elevation), vector(at, up)
    east = np.stack([np.cos(at), -np.sin(at), 0 * at], axis=-1)
    top = np.cross(east, s)
    top /= np.linalg.norm(top, axis=-1)[:, None]
    x, y = (axis * east).sum(-1), (axis * top).sum(-1)
    size = np.arctan2(np.linalg.norm(np.cross(axis, s), axis=-1), (axis * s).sum(-1))
    return size * x / np.hypot(x, y), size * y / np.hypot(x, y), size


a, e = sun(times - shift)
m = np.radians([number(r["azimuth"]) for r in given["readings"]])
h = np.radians([number(r["elevation"]) for r in given["readings"]])
x, y, size = errors(m, h, a, e)
half = pd.Timedelta(seconds=0.5)
late, early = sun(times - shift + half), sun(times - shift - half)
vx, vy, _ = errors(late[0], late[1], early[0], early[1])
within = np.radians(number(given["within"]))
expected = {
    "mean_across": 1e3 * x.mean(), "mean_up": 1e3 * y.mean(),
    "scatter_across": 1e3 * x.std(ddof=1), "scatter_up": 1e3 * y.std(ddof=1),
    "rms_across": 1e3 * np.sqrt((x**2).mean()), "rms_up": 1e3 * np.sqrt((y**2).mean()),
    "rms": 1e3 * np.sqrt((size**2).mean()), "largest": 1e3 * size.max(),
    "median": 1e3 * np.percentile(size, 50, method="inverted_cdf"),
    "percentile": 1e3 * np.percentile(size, number(given["percentile"]), method="inverted_cdf"),
    "share_within": 100 * (size <= within).mean(),
    "leads_by": (x * vx + y * vy).sum() / (vx**2 + vy**2).sum(),
    "each_second": 1e3 * np.sqrt((vx**2 + vy**2).mean()),
}
slips = []
for name, value in expected.items():
    # 0.0001° between two implementations of the same algorithm.
    allowed = 2e-4 * abs(value) + (0.02 if name == "leads_by" else 2e-3)
    if abs(float(got[name]) - value) > allowed:
        slips.append(f"{name}: {got[name]} against {value:.6f}")
print("agrees" if not slips else "differs\n" + "\n".join(slips))
sys.exit(1 if slips else 0)
