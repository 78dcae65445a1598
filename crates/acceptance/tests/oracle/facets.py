"""Own oracle for the alignment of facets: exact reflection in three dimensions and SciPy's lstsq.

Reads one JSON object: the input of the calculation and its tables. It traces a ray from lamp to
facet to board without the first-order formula, finds by `scipy.optimize.fsolve` the tilt of the
normal that sends the spot where it was read, and compares; then it fits a rigid turn to each rack
by `scipy.linalg.lstsq` on normals computed from the paraboloid's gradient and compares turn,
standard errors and share.
"""

import json
import sys

import numpy as np
from scipy.linalg import lstsq
from scipy.optimize import fsolve

case = json.load(sys.stdin)
given, tables = case["input"], {t["name"]: t for t in case["tables"]}


def number(text):
    return float(text.replace(",", ".").replace("\u2212", "-").split()[0])


def metres(text):
    return number(text) * {"m": 1.0, "mm": 1e-3, "cm": 1e-2}[text.split()[1]]


f = metres(given["focal_length"])
lamp = metres(given["lamp_distance"]) if "lamp_distance" in given else None
board = metres(given["board_distance"]) if "board_distance" in given else f


def place(facet):
    r, b = metres(facet["radius"]), np.radians(number(facet["bearing"]))
    return np.array([r * np.sin(b), r * np.cos(b), r * r / (4 * f)])


def normal(at):
    n = np.array([-at[0] / (2 * f), -at[1] / (2 * f), 1.0])
    return n / np.linalg.norm(n)


def tangents(at):
    n, r = normal(at), np.hypot(at[0], at[1])
    across = np.array([at[1], -at[0], 0.0]) / r if r else np.array([1.0, 0, 0])
    return np.cross(across, n) * -1.0 if np.dot(np.cross(across, n), at) < 0 else np.cross(across, n), across


def spot(at, n, source, plane):
    d = np.array([0, 0, -1.0]) if source is None else at - np.array([0, 0, source])
    d = d / np.linalg.norm(d)
    out = d - 2 * np.dot(d, n) * n
    return (at + out * (plane - at[2]) / out[2])[:2]


def tilted(at, delta):
    u, v = tangents(at)
    n = normal(at) + delta[0] * u + delta[1] * v
    return n / np.linalg.norm(n)


def exact_tilt(at, wanted, source, plane):
    found, info, ok, message = fsolve(
        lambda d: (spot(at, tilted(at, d), source, plane) - wanted) * 1e3, [0.0, 0.0],
        xtol=1e-14, full_output=True,
    )
    assert ok == 1 or np.abs(info["fvec"]).max() < 1e-9, message
    return found


places = {facet["facet"]: place(facet) for facet in given["facets"]}
aims = {x["facet"]: np.array([metres(x["aim_x"]), metres(x["aim_y"])]) for x in given["facets"]}
rack_of = {x["facet"]: x["rack"] for x in given["facets"]}
columns = tables["facets"]["columns"]
shown = {row[0]: dict(zip(columns, row)) for row in tables["facets"]["rows"]}
by_rack, worst, slips = {}, 0.0, []
for reading in given["survey"]:
    if reading["state"] != "measured":
        continue
    name = reading["facet"]
    at = places[name]
    wanted = np.array([metres(reading["dx"]), metres(reading["dy"])])
    tilt = exact_tilt(at, wanted, lamp, board) - exact_tilt(at, aims[name], None, f)
    r = np.hypot(at[0], at[1])
    s, c = (at[0] / r, at[1] / r) if r else (0.0, 1.0)
    xy = np.array([tilt[0] * s + tilt[1] * c, tilt[0] * c - tilt[1] * s])
    got = np.array([float(shown[name]["x mrad"]), float(shown[name]["y mrad"])]) * 1e-3
    off = np.abs(got - xy).max()
    # What first order leaves out, and the rounding of the table. The shift of the spot itself
    # bounds the second-order part: its angle times the tilt, doubled for the tangent of φ.
    swing = np.hypot(*(wanted - spot(at, normal(at), lamp, board))) / f + np.hypot(*aims[name]) / f
    allowed = 2.0 * swing * np.hypot(*(tilt + 0.0)) + 2.0 * swing**2 * 0.1 + 6e-6
    worst = max(worst, off)
    if off > allowed:
        slips.append(f"{name}: {got} against {xy}, allowed {allowed}")
    by_rack.setdefault(rack_of[name], []).append((at, got, s, c))

rows = {row[0]: dict(zip(tables["racks"]["columns"], row)) for row in tables["racks"]["rows"]}
for rack, facets in sorted(by_rack.items()):
    if len(facets) < 3 or rows[rack]["turn mrad"] == "":
        continue
    a, b = [], []
    for at, xy, s, c in facets:
        u, v = tangents(at)
        n = normal(at)
        for direction, value in ((u, xy[0] * s + xy[1] * c), (v, xy[0] * c - xy[1] * s)):
            # A turn by each unit vector moves the normal by cross(axis, normal).
            a.append([np.dot(np.cross(axis, n), direction) for axis in np.eye(3)])
            b.append(value)
    a, b = np.array(a), np.array(b)
    turn, _, rank, _ = lstsq(a, b)
    rest = b - a @ turn
    variance = rest @ rest / (len(b) - 3)
    errors = np.sqrt(np.diag(variance * np.linalg.inv(a.T @ a)))
    explained = 100 * (1 - rest @ rest / (b @ b))
    row = rows[rack]
    mean = np.sum([normal(at) for at, *_ in facets], axis=0)
    tilt = np.linalg.norm(np.cross(turn, mean / np.linalg.norm(mean)))
    # The table rounds what goes in here to 0.01 mrad; a turn about the rack's own normal is soft.
    soft = 0.004 + 12 * 0.005e-3 * np.sqrt(np.diag(np.linalg.inv(a.T @ a))).max() * 1e3
    pairs = [("turn mrad", tilt * 1e3, soft), ("explained %", explained, 0.6)]
    pairs += [(f"ω {axis} mrad", turn[i] * 1e3, soft) for i, axis in enumerate("xyz")]
    pairs += [(f"u(ω {axis}) mrad", errors[i] * 1e3, soft) for i, axis in enumerate("xyz")]
    for key, value, tolerance in pairs:
        if abs(float(row[key]) - value) > tolerance:
            slips.append(f"{rack} {key}: {row[key]} against {value:.4f}, allowed {tolerance:.4f}")
    # Singular values of the equations, by NumPy; the design alone makes them.
    pairs = [("condition", np.linalg.cond(a), 0.006 * np.linalg.cond(a))]
    for key, value, tolerance in pairs:
        if abs(float(row[key]) - value) > tolerance:
            slips.append(f"{rack} {key}: {row[key]} against {value:.4f}, allowed {tolerance:.4f}")
    assert rank == 3

print(f"agrees: worst difference {worst * 1e6:.2f} µrad" if not slips else "differs")
print("\n".join(slips))
sys.exit(1 if slips else 0)
