"""Compares maps of parking directions from standard input with pvlib.

Reads a JSON list of maps: a place, a window, angles of azimuth and elevation, and the smallest angle
that the program found for each. The sun is sampled every `step` seconds; between two samples it
moves by less than 15.1° an hour. Prints the worst differences; ends with status 1 beyond a bound.
"""

import json
import sys

import numpy as np
from pvlib import spa

maps = json.load(sys.stdin)
# Elevation of the sun's middle when its upper edge is on the horizon: radius and refraction.
RIM = -(0.26667 + 0.5667)
cells, above, below = 0, 0.0, 0.0


def vector(a, e):
    a, e = np.radians(a), np.radians(e)
    return np.array([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e) + 0 * a])


for one in maps:
    times = np.arange(one["from"], one["to"] + 0.5, one["step"])
    _, _, elevation, geometric, azimuth, _ = spa.solar_position_numpy(
        times, one["latitude"], one["longitude"], one["altitude"], one["pressure"],
        one["temperature"], one["delta_t"], 0.5667, 1)
    up = geometric > RIM
    suns = np.concatenate([vector(azimuth[up], elevation[up]), vector(azimuth[up], geometric[up])], 1)
    for row, e in zip(one["rows"], one["elevations"]):
        for found, a in zip(row, one["azimuths"]):
            chord = np.sqrt(np.min(np.sum((suns - vector(float(a), float(e))[:, None]) ** 2, 0)))
            sampled = np.degrees(2 * np.arcsin(min(chord / 2, 1.0)))
            above = max(above, found - sampled)
            below = max(below, (sampled - found) / (15.1 / 3600 * one["step"] / 2))
            cells += 1

# Printed to 0.1°, and the bound of the map 0.07°.
print(f"{cells} cells: above pvlib's smallest by {above:.3f}°, bound 0.12; below it by {below:.3f} of "
      "what its step may hide, bound 1.5")
sys.exit(0 if cells and above <= 0.12 and below <= 1.5 else 1)
