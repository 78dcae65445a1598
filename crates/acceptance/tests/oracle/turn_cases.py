"""Own oracle, first half: surveys of the whole LV-3 dish for the turning of its studs.

Prints a list of inputs of the calculation. Every facet of the design gets a normal that is off by a
few milliradians, drawn from a fixed seed; the spot that it makes is found by exact reflection in
three dimensions and rounded to what a board shows. The cases differ in the light (sun, lamp at
300 m), the board's place, the studs and what stays.
"""

import json
import pathlib
import sys
import tomllib

import numpy as np

root = pathlib.Path(__file__).resolve().parents[4]
design = tomllib.loads((root / "demo-site" / "lv-3-dish.toml").read_text())
f = float(design["focal_length"].split()[0])
rng = np.random.default_rng(20260901)


def spot(at, n, lamp, board):
    back = np.array([0, 0, 1.0]) if lamp is None else np.array([0, 0, lamp]) - at
    back = back / np.linalg.norm(back)
    out = 2 * np.dot(back, n) * n - back
    return (at + out * (board - at[2]) / out[2])[:2]


def survey(lamp, board, size):
    rows = []
    for facet in design["facet"]:
        r, b = float(facet["radius"].split()[0]), np.radians(float(facet["bearing"].split()[0]))
        at = np.array([r * np.sin(b), r * np.cos(b), r * r / (4 * f)])
        n = np.array([-at[0] / (2 * f), -at[1] / (2 * f), 1.0]) + size * rng.standard_normal(3)
        x, y = 1000 * spot(at, n / np.linalg.norm(n), lamp, board)
        rows.append({"facet": facet["id"], "state": "measured", "dx": f"{x:.1f} mm", "dy": f"{y:.1f} mm"})
    return rows


def studs(raises="clockwise", keeps="centre", steps="8", pitch="1.0 mm", fixed=None, places=None):
    places = places or [("A", "0.22 m", "0 °"), ("B", "0.22 m", "120 °"), ("C", "0.22 m", "240 °")]
    stays = {"fixed_stud": fixed} if fixed else {"keeps": keeps}
    return {
        "studs": [dict(zip(("name", "distance", "bearing"), place)) for place in places],
        "thread_pitch": pitch, "raises": raises, "steps_per_turn": steps, **stays,
    }


def case(adjusters, lamp=None, board=None, size=0.002, turned=None):
    facets = []
    for facet in design["facet"]:
        place = {"facet": facet["id"], **{k: facet[k] for k in ("rack", "radius", "bearing", "aim_x", "aim_y")}}
        if turned and facet["id"].endswith(turned[0]):
            place["turned"] = turned[1]
        facets.append(place)
    out = {
        "focal_length": design["focal_length"], "facets": facets,
        "survey": survey(lamp, board or f, size),
        "method": "target-board", "worth_turning": "0.001 mrad", "adjusters": adjusters,
        "limits": {
            "axis": {"value": "1.0 mrad", "rule": "simple"}, "rms": {"value": "0.7 mrad", "rule": "simple"},
            "rack": {"explained": "100 %"},
        },
    }
    if lamp:
        out |= {"method": "distant-light", "lamp_distance": f"{lamp} m"}
    if board:
        out["board_distance"] = f"{board} m"
    return out


shipped = design["adjusters"]
ball = [("ball", "0.30 m", "45 °"), ("P", "11 in", "170 °"), ("Q", "250 mm", "-60 °")]
flat = [("1", "0.1 m", "20 °"), ("2", "0.35 m", "95 °"), ("3", "0.35 m", "-40 °")]
json.dump(
    [
        case(shipped),
        case(shipped, lamp=300.0, size=0.004),
        case(studs("counter-clockwise", "centre", "12", "1.25 mm"), lamp=300.0, board=6.3),
        case(studs("counter-clockwise", steps="16", fixed="ball", places=ball), turned=("F07", "90 °")),
        case(studs(places=flat, steps="10", keeps="least-turning"), lamp=80.0, size=0.01),
    ],
    sys.stdout,
)
