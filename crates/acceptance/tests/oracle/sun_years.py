"""Compares windows of a year from standard input with pvlib.

Reads a JSON list of places, each with `jobs`: what was parked where, and what the program found.
pvlib's sun is sampled every five minutes over the year, and every second about the smallest angles.
Prints the worst difference of each quantity; ends with status 1 when one is beyond its bound, or
when the list is empty.
"""

import json
import sys

import numpy as np
from pvlib import spa

places = json.load(sys.stdin)
# Elevation of the sun's middle when its upper edge is on the horizon: radius and refraction.
RIM = -(0.26667 + 0.5667)
worst = {}
BOUNDS = {"min_angle": 0.005, "month_below": 0.65, "month_above": 0.012, "days_near": 2.0,
          "days_dark": 1.0, "first_break": 300.0}


def differ(name, difference, where):
    if name not in worst or not difference <= worst[name][0]:
        worst[name] = (float(difference), where)


def sun(unix, place):
    """Directions as seen and without air, as unit vectors, and whether the sun is up."""
    result = spa.solar_position_numpy(
        np.asarray(unix, dtype=float), place["latitude"], place["longitude"], place["altitude"],
        place["pressure"], place["temperature"], place["delta_t"], 0.5667, 1)
    _, _, elevation, geometric, azimuth, _ = result
    return vector(azimuth, elevation), vector(azimuth, geometric), geometric > RIM


def vector(a, e):
    a, e = np.radians(a), np.radians(e)
    return np.array([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e) + 0 * a])


def angle(axis, sky):
    seen, geometric, up = sky
    def of(v):
        chord = np.sqrt(np.sum((v - axis[:, None]) ** 2, axis=0))
        return np.degrees(2 * np.arcsin(np.clip(chord / 2, 0, 1)))
    return np.where(up, np.minimum(of(seen), of(geometric)), np.inf)


for place in places:
    times = np.arange(place["from"], place["to"], 300.0)
    sky = sun(times, place)
    days = ((times + place["offset"]) // 86400).astype(int)
    months = np.array((times + place["offset"]) // 1, dtype="datetime64[s]").astype("datetime64[M]")
    for job in place["jobs"]:
        where = {"latitude": place["latitude"], "axis": job["axis"]}
        axis = vector(*map(float, job["axis"]))
        angles = angle(axis, sky)
        near = np.argsort(angles)[:12]
        fine = np.unique(np.concatenate([np.arange(times[i] - 300, times[i] + 300) for i in near]))
        fine = fine[(fine >= place["from"]) & (fine <= place["to"])]
        lowest = np.min(angle(axis, sun(fine, place)))
        differ("min_angle", abs(lowest - job["min_angle"]), where)
        of_day = np.full(days[-1] - days[0] + 1, np.inf)
        np.minimum.at(of_day, days - days[0], angles)
        differ("days_near", abs(np.sum(of_day < job["margin"]) - job["days_near"]), where)
        differ("days_dark", abs(np.sum(np.isinf(of_day)) - job["days_dark"]), where)
        for month, found in job["months"].items():
            sampled = np.min(angles[months == np.datetime64(month)])
            if np.isinf(sampled):
                differ("month_above", 0.0 if found is None else 999.0, where | {"month": month})
            elif found is not None:
                differ("month_above", max(found - sampled, 0), where | {"month": month})
                differ("month_below", max(sampled - found, 0), where | {"month": month})
        first = times[np.argmax(angles < job["margin"])] if np.any(angles < job["margin"]) else None
        if first is not None and job["first_break"] is not None:
            # A sample comes up to five minutes after the break itself.
            differ("first_break", max(job["first_break"] - first, first - job["first_break"]), where)
        else:
            differ("first_break", 0.0 if first is job["first_break"] else 1e9, where)

bad = not places or set(worst) != set(BOUNDS)
for name, (difference, where) in sorted(worst.items()):
    print(f"{name}: worst {difference:.2e}, bound {BOUNDS[name]:.0e}, at {json.dumps(where)}")
    bad = bad or not difference <= BOUNDS[name]
sys.exit(1 if bad else 0)
