"""Compares irradiances about the focus from standard input with quadratures of its own.

Reads a JSON list of dishes with `places`: distances from the focus with what the program gave for
the axis and for anywhere in the cone. The axis is integrated with scipy; in the cone the mirror is
cut into elements, each with rays spread normally about the way to the focus, and the vector sum is
taken at many places at that distance, on both sides. One facet is cut into elements that show or do
not show the disc of the sun. Prints the worst ratios; ends with status 1 beyond a bound.
"""

import json
import sys

import numpy as np
from scipy.integrate import quad

case = json.load(sys.stdin)
axis_worst, cone_worst, cone_least, facet_worst, facet_least, count = 0.0, 0.0, 9.0, 0.0, 9.0, 0


def on_axis(x, side, d):
    f, s = d["focal"], d["error"]
    place = f + side * x

    def ring(r):
        z = r * r / (4 * f)
        to_focus, to_place = np.array([-r, f - z]), np.array([-r, place - z])
        way = np.hypot(*to_place)
        turn = np.arccos(np.clip(to_focus @ to_place / np.hypot(*to_focus) / way, -1, 1))
        return r * np.exp(-turn ** 2 / 2 / s ** 2) / s ** 2 * abs(to_place[1]) / way ** 3

    narrow = min(d["diameter"] / 2, 12 * s * f * f / x)
    points = sorted({narrow / 8, narrow / 2, narrow} - {d["diameter"] / 2})
    total = quad(ring, 0, d["diameter"] / 2, points=points, limit=400, epsrel=1e-9)[0]
    return d["reflected"] * total


def in_cone(distance, d, n=260, m=180):
    f, s, half = d["focal"], d["error"], d["diameter"] / 2
    r, ph = np.meshgrid((np.arange(n) + 0.5) / n * half, (np.arange(m) + 0.5) / m * 2 * np.pi,
                        indexing="ij")
    mirror = np.array([r * np.cos(ph), r * np.sin(ph), r * r / 4 / f])
    area = r * (half / n) * (2 * np.pi / m)
    to_focus = np.array([0, 0, f])[:, None, None] - mirror
    rim = 2 * np.arctan(half / 2 / f)
    best = 0.0
    for side in (1, -1):
        for share in np.linspace(0, 1.05, 22):
            place = np.array([-distance * np.sin(rim * share), 0,
                              f + side * distance * np.cos(rim * share)])
            way = place[:, None, None] - mirror
            length = np.linalg.norm(way, axis=0)
            if length.min() < 1.0:
                continue
            turn = np.arctan2(np.linalg.norm(np.cross(to_focus, way, axis=0), axis=0),
                              np.sum(to_focus * way, axis=0))
            weight = area * np.exp(-turn ** 2 / 2 / s ** 2) / (2 * np.pi * s * s) / length ** 2
            best = max(best, np.linalg.norm(np.sum(weight * way / length, axis=(1, 2))))
    return d["reflected"] * best


def facet(distance, b, n=801):
    """A square facet that would send every ray through its focus; uniform sun."""
    side = np.sqrt(b["area"])
    u = (np.arange(n) + 0.5) / n * side - side / 2
    x, y = np.meshgrid(u, u)
    best = 0.0
    for aside in np.linspace(0, side, 9):
        # Off the axis of the beam too: the deviation of each element's ray from the place.
        dx, dy = (aside - x) / distance + x / b["focus"], -y / distance + y / b["focus"]
        shown = np.hypot(dx, dy) <= b["sun"]
        best = max(best, np.mean(shown) * b["area"] / (np.pi * b["sun"] ** 2 * distance ** 2))
    return b["reflected"] * best


for dish in case["dishes"]:
    for place in dish["places"]:
        x = place["distance"]
        mine = max(on_axis(x, 1, dish), on_axis(x, -1, dish) if x < 0.8 * dish["focal"] else 0,
                   dish["reflected"] * (dish["focal"] / x) ** 2)
        axis_worst = max(axis_worst, abs(place["axis"] / mine - 1))
        ratio = in_cone(x, dish) / place["most"]
        cone_worst, cone_least = max(cone_worst, ratio), min(cone_least, ratio)
        count += 1
for beam in case["beams"]:
    for distance, most in beam["along"]:
        ratio = facet(distance, beam) / most
        facet_worst, facet_least = max(facet_worst, ratio), min(facet_least, ratio)

print(f"{count} places: axis off by {axis_worst:.1e}, bound 2e-3; in the cone {cone_least:.3f} to "
      f"{cone_worst:.3f} of the most, bounds 0.6 and 1.005; facet {facet_least:.3f} to "
      f"{facet_worst:.3f} of the most, bounds 0.55 and 1.01")
good = count and axis_worst <= 2e-3 and 0.6 <= cone_least and cone_worst <= 1.005
sys.exit(0 if good and 0.55 <= facet_least and facet_worst <= 1.01 else 1)
