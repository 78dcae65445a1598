"""Compares ways of the sun's image from standard input with pvlib.

Reads a JSON list of walks: place, moment of the stop, focal length, the points of the path and the
times of passages. The image is found another way than the program's: the mirror's frame is turned by
rotation matrices, and the ray from the sun through the vertex is reflected there. Prints the worst
differences; ends with status 1 when one is beyond its bound.
"""

import json
import sys

import numpy as np
from pvlib import spa
from scipy.optimize import brentq

walks = json.load(sys.stdin)
worst_way, worst_time, points, passages = 0.0, 0.0, 0, 0


def sun(unix, w):
    result = spa.solar_position_numpy(
        np.atleast_1d(float(unix)), w["latitude"], w["longitude"], w["altitude"], w["pressure"],
        w["temperature"], w["delta_t"], 0.5667, 1)
    return np.radians(result[4][0]), np.radians(result[2][0])


def image(after, w):
    """Millimetres to the right and upwards, by reflection of the central ray at the vertex."""
    a0, e0 = sun(w["unix"], w)
    a, e = sun(w["unix"] + after, w)
    s = np.array([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)])
    about_up = np.array([[np.cos(a0), -np.sin(a0), 0], [np.sin(a0), np.cos(a0), 0], [0, 0, 1]])
    about_right = np.array([[1, 0, 0], [0, np.cos(e0), np.sin(e0)], [0, -np.sin(e0), np.cos(e0)]])
    right, along, up = about_right @ about_up @ s
    incoming = -np.array([right, along, up])
    normal = np.array([0, 1, 0])
    outgoing = incoming - 2 * (incoming @ normal) * normal
    return w["focal"] * 1e3 * outgoing[[0, 2]] / outgoing[1]


for w in walks:
    for after, right, up in w["path"]:
        worst_way = max(worst_way, float(np.max(np.abs(image(after, w) - [right, up]))))
        points += 1
    for distance, time in w["passages"]:
        root = brentq(lambda t: np.hypot(*image(t, w)) - distance, 1e-6, 4 * 3600, xtol=1e-4)
        worst_time = max(worst_time, abs(root - time))
        passages += 1

print(f"{points} points, worst {worst_way:.3f} mm, bound 0.1; {passages} passages, worst "
      f"{worst_time:.3f} s, bound 0.3")
sys.exit(0 if points and passages and worst_way <= 0.1 and worst_time <= 0.3 else 1)
