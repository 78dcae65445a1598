"""Compares positions of the sun, days and parking windows from standard input with pvlib.

Reads a JSON object with `positions`, `days` and `windows`, each a list of objects of numbers: what
was given and what the program found. Prints the worst difference of each quantity; ends with status
1 when one is beyond its bound, or when a list is empty.
"""

import json
import sys

import numpy as np
from pvlib import spa

case = json.load(sys.stdin)
# Elevation of the sun's middle when its upper edge is on the horizon: radius and refraction.
RIM = -(0.26667 + 0.5667)
AIR = {"altitude": 0, "pressure": 1013, "temperature": 12}
worst = {}
BOUNDS = {
    "azimuth": 2e-4,
    "elevation": 2e-4,
    "elevation_geometric": 2e-4,
    "equation_of_time": 0.01,
    "rise": 2.0,
    "noon": 2.0,
    "set": 2.0,
    "sun_state": 0.5,
    "min_angle": 0.01,
    "first_break": 40.0,
    "breaks": 0.5,
}


def differ(name, got, expected, where):
    difference = abs(got - expected)
    if name == "azimuth":
        difference = min(difference % 360, 360 - difference % 360)
    if name not in worst or not difference <= worst[name][0]:
        worst[name] = (difference, where)


def position(unix, row):
    """Refracted elevation, geometric elevation, azimuth, equation of time."""
    unix = np.atleast_1d(np.asarray(unix, dtype=float))
    result = spa.solar_position_numpy(
        unix, row["latitude"], row["longitude"], row["altitude"], row["pressure"],
        row["temperature"], row["delta_t"], 0.5667, 1)
    _, _, elevation, geometric, azimuth, equation = result
    return elevation, geometric, azimuth, equation


for row in case["positions"]:
    elevation, geometric, azimuth, equation = (x[0] for x in position(row["unix"], row))
    differ("elevation", row["elevation"], elevation, row)
    differ("elevation_geometric", row["elevation_geometric"], geometric, row)
    # Overhead the azimuth turns within metres.
    if geometric < 89:
        differ("azimuth", row["azimuth"], azimuth, row)
    differ("equation_of_time", row["equation_of_time"], equation, row)

for row in case["days"]:
    # pvlib's transit belongs to a UTC day; the day before and after are looked at too.
    midnight = row["start"] // 86400 * 86400
    days = np.array([midnight - 86400, midnight, midnight + 86400], dtype=float)
    transit, _, _ = spa.transit_sunrise_sunset(
        days, row["latitude"], row["longitude"], row["delta_t"], 1)
    differ("noon", 0, np.nanmin(np.abs(transit - row["noon"])), row)
    # Rise and set as roots of the elevation: pvlib's own rise and set belong to UTC days, and near
    # the pole its single step of correction is off by a minute.
    times = np.arange(row["start"], row["end"] + 1, 60.0)
    up = position(times, row | AIR)[1] > RIM
    for name, crossing in (("rise", ~up[:-1] & up[1:]), ("set", up[:-1] & ~up[1:])):
        if row[name] is None:
            differ("sun_state", 0, float(np.any(crossing)), row)
        else:
            first = times[np.argmax(crossing)] if np.any(crossing) else np.nan
            fine = np.arange(first, first + 60.5, 1.0)
            above = position(fine, row | AIR)[1] > RIM
            differ(name, row[name], fine[np.argmax(above == (name == "rise"))], row)


def separation(a1, e1, a2, e2):
    """By unit vectors and their chord, another way than the program's."""
    def vector(a, e):
        a, e = np.radians(a), np.radians(e)
        return np.array([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e) + 0 * a])
    one, other = vector(a1, e1), vector(a2, e2)
    chord = np.sqrt(np.sum((one - other) ** 2, axis=0))
    return np.degrees(2 * np.arcsin(np.clip(chord / 2, 0, 1)))


for row in case["windows"]:
    times = np.arange(row["from"], row["to"] + 1e-6, 30.0)
    elevation, geometric, azimuth, _ = position(times, row)
    ones = np.ones_like(times)
    angle = np.minimum(
        separation(azimuth, elevation, row["axis_azimuth"] * ones, row["axis_elevation"] * ones),
        separation(azimuth, geometric, row["axis_azimuth"] * ones, row["axis_elevation"] * ones))
    up = geometric > RIM
    if row["min_angle"] is None:
        differ("min_angle", 0, 0.0 if not np.any(up[1:-1]) else 999.0, row)
        continue
    # The sun moves an eighth of a degree in half a minute; near a smooth minimum that is nothing,
    # at a sharp one (sun through the axis) or at the ends of the window or the day it may count.
    lowest = np.min(angle[up])
    differ("min_angle", max(row["min_angle"] - lowest, 0.0), 0.0, row)
    differ("min_angle", max(lowest - row["min_angle"] - 0.13, 0.0), 0.0, row)
    near = up & (angle < row["margin"])
    if row["first_break"] is None:
        # A graze between two samples can't be seen here; a clear break can.
        differ("breaks", 0, float(np.any(near[1:-1] & (angle[1:-1] < row["margin"] - 0.02))), row)
    elif np.any(near):
        differ("first_break", row["first_break"], times[np.argmax(near)], row)
    else:
        differ("breaks", 0, float(row["min_angle"] < row["margin"] - 0.13), row)

bad = not (case["positions"] and case["days"] and case["windows"])
bad = bad or set(worst) != set(BOUNDS)
for name, (difference, where) in sorted(worst.items()):
    print(f"{name}: worst {difference:.2e}, bound {BOUNDS[name]:.0e}, at {json.dumps(where)}")
    bad = bad or not difference <= BOUNDS[name]
sys.exit(1 if bad else 0)
