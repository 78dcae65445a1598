"""The survey of a dish worked out from its raw file and the dish's own design, by exact reflection.

Reads demo-site/lv-3-dish.toml and the board shifts of one file, and prints JSON. Light falls along
the axis; the normal that sends it from a facet to a point of the board is the half-way vector, so
nothing is linearised. The turn of a rack is SciPy's solution of Wahba's problem for its normals.
"""

import csv
import json
import sys
import tomllib

import numpy as np
from scipy.spatial.transform import Rotation

design_file, survey_file, rack = sys.argv[1:]
with open(design_file, "rb") as file:
    design = tomllib.load(file)


def metres(text):
    value, unit = text.replace("\u2212", "-").split()
    return float(value) * {"m": 1.0, "mm": 1e-3}[unit]


def degrees(text):
    return np.radians(float(text.split()[0]))


f = metres(design["focal_length"])
with open(survey_file, encoding="utf-8-sig") as file:
    rows = [row for row in csv.reader(file, delimiter=";") if len(row) == 3]
shifts = {
    name: np.array([float(x.replace(",", ".")), float(y.replace(",", "."))]) * 1e-3
    for name, x, y in rows
    if name.startswith("R")
}


def half_way(at, target):
    out = np.array([*target, f]) - at
    normal = out / np.linalg.norm(out) + np.array([0, 0, 1.0])
    return normal / np.linalg.norm(normal)


errors, seen, meant = {}, {}, {}
for facet in design["facet"]:
    name, r, b = facet["id"], metres(facet["radius"]), degrees(facet["bearing"])
    s, c = np.sin(b), np.cos(b)
    at = np.array([r * s, r * c, r * r / (4 * f)])
    aim = [metres(facet["aim_x"]), metres(facet["aim_y"])]
    seen[name], meant[name] = half_way(at, shifts[name]), half_way(at, aim)
    # Along the slope of the mirror, outward; and across it.
    outward = np.array([s, c, r / (2 * f)])
    outward /= np.linalg.norm(outward)
    across = np.array([c, -s, 0.0])
    tilt = seen[name] - meant[name]
    radial, sideways = tilt @ outward, tilt @ across
    errors[name] = 1e3 * np.array([radial * s + sideways * c, radial * c - sideways * s])

assert errors.keys() == shifts.keys(), "the file names other facets than the design"
table = np.array(list(errors.values()))
worst = max(errors, key=lambda name: np.abs(errors[name]).max())
of_rack = [name for name in errors if name.startswith(f"{rack}/")]
a = np.array([seen[name] for name in of_rack])
b = np.array([meant[name] for name in of_rack])
turn, _ = Rotation.align_vectors(a, b)
mean = b.sum(axis=0) / np.linalg.norm(b.sum(axis=0))
left = a - turn.apply(b)
print(
    json.dumps(
        {
            "facets": len(errors),
            "rms": float(np.sqrt((table**2).sum(axis=1).mean())),
            "worst": worst,
            "axis_worst": float(np.abs(errors[worst]).max()),
            "out": int((np.abs(table).max(axis=1) > 1.0).sum()),
            "rack_facets": len(of_rack),
            "rack_out": int(sum(np.abs(errors[name]).max() > 1.0 for name in of_rack)),
            "rack_turn": float(1e3 * np.arccos(min(1.0, mean @ turn.apply(mean)))),
            "rack_explained": float(100 * (1 - (left**2).sum() / ((a - b) ** 2).sum())),
            "errors": {name: list(error) for name, error in errors.items()},
        }
    )
)
