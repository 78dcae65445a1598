"""Own oracle, second half: a crew that does what the list says, facet by facet.

Reads {input, tables}. For each facet it builds the three studs as points in space, sets them by
`scipy.optimize.fsolve` so that the plane through them throws the spot where it was read, turns each
stud as the *words* of the list say, takes the normal of the new plane as the cross product of two of
its sides, reflects sunlight, and looks whether the spot lies on the facet's own aim point as nearly
as the rounding allows. It knows nothing of the calculation's formula.
"""

import itertools
import json
import re
import sys
from fractions import Fraction

import numpy as np
from scipy.optimize import fsolve

case = json.load(sys.stdin)
given, tables = case["input"], {t["name"]: t for t in case["tables"]}
studs = given["adjusters"]


def number(text):
    return float(text.replace("\u2212", "-").split()[0])


def metres(text):
    return number(text) * {"m": 1.0, "mm": 1e-3, "in": 0.0254}[text.split()[1]]


f = metres(given["focal_length"])
lamp = metres(given["lamp_distance"]) if "lamp_distance" in given else None
board = metres(given["board_distance"]) if "board_distance" in given else f
pitch, per_turn = metres(studs["thread_pitch"]), int(studs["steps_per_turn"])
toward = 1.0 if studs["raises"] == "clockwise" else -1.0
names = [stud["name"] for stud in studs["studs"]]


def on_mirror(r, b):
    return np.array([r * np.sin(b), r * np.cos(b), r * r / (4 * f)])


def unit(v):
    return v / np.linalg.norm(v)


def spot(at, n, source, plane):
    back = np.array([0, 0, 1.0]) if source is None else unit(np.array([0, 0, source]) - at)
    out = 2 * np.dot(back, n) * n - back
    return (at + out * (plane - at[2]) / out[2])[:2]


def seen_from_focus(vector, normal, up):
    """Clock bearing of a vector in the facet's plane for an eye at the focus: the eye looks along
    minus the normal, and to its right is up × normal."""
    return np.arctan2(np.dot(vector, np.cross(up, normal)), np.dot(vector, up))


class Facet:
    def __init__(self, row):
        r, b = metres(row["radius"]), np.radians(number(row["bearing"]))
        self.at = on_mirror(r, b)
        self.outward = unit(on_mirror(r + 1e-6, b) - on_mirror(r - 1e-6, b))
        onward = unit(on_mirror(r, b + 1e-6) - on_mirror(r, b - 1e-6))
        self.n = unit(np.array([-self.at[0] / (2 * f), -self.at[1] / (2 * f), 1.0]))
        assert abs(np.degrees(seen_from_focus(onward, self.n, self.outward)) - 90) < 1e-3
        turned = np.radians(number(row.get("turned", "0 °")))
        self.feet = []
        for stud in studs["studs"]:
            d, w = metres(stud["distance"]), np.radians(number(stud["bearing"])) + turned
            self.feet.append(self.at + d * (np.cos(w) * self.outward + np.sin(w) * np.cross(self.outward, self.n)))
        for foot, stud in zip(self.feet, studs["studs"]):
            seen = seen_from_focus(foot - self.at, self.n, self.outward) - turned
            off = np.degrees(seen) - number(stud["bearing"])
            assert abs((off + 180) % 360 - 180) < 1e-3, (stud, off)

    def plane(self, heights):
        a, b, c = (foot + h * self.n for foot, h in zip(self.feet, heights))
        n = unit(np.cross(b - a, c - a))
        return a, n if np.dot(n, self.n) > 0 else -n

    def normal(self, heights):
        return self.plane(heights)[1]

    def middle(self, heights):
        """Where the middle of the facet is with the studs so: on the plane, along the normal."""
        a, n = self.plane(heights)
        return self.at + self.n * np.dot(a - self.at, n) / np.dot(self.n, n)

    def heights_for(self, wanted, source, plane, free):
        """Heights with one foot left at zero."""
        def off(pair):
            return (spot(self.at, self.normal(np.insert(pair, free, 0.0)), source, plane) - wanted) * 1e3

        found, info, ok, message = fsolve(off, [0.0, 0.0], xtol=1e-14, full_output=True)
        assert ok == 1 or np.abs(info["fvec"]).max() < 1e-8, message
        return np.insert(found, free, 0.0)


def turned(words):
    """Turns towards the focus by stud, from what is called out."""
    lifts = np.zeros(3)
    if words == "less than half a step":
        return lifts
    for part in words.split(", "):
        name, amount, way = re.fullmatch(r"(\S+) ([0-9/ ]+) (in|out)", part).groups()
        turns = float(sum(Fraction(piece) for piece in amount.split()))
        # In is clockwise, seen from behind; the design says where that moves the facet.
        lifts[names.index(name)] = turns * pitch * toward * (1 if way == "in" else -1)
    return lifts


facets = {row["facet"]: row for row in given["facets"]}
survey = {row["facet"]: row for row in given["survey"]}
columns = tables["work"]["columns"]
step = pitch / per_turn
slips, worst, pistons, done = [], 0.0, 0.0, set()
for cells in tables["work"]["rows"]:
    row = dict(zip(columns, cells))
    name = row["facet"]
    done.add(name)
    facet = Facet(facets[name])
    read = np.array([metres(survey[name]["dx"]), metres(survey[name]["dy"])])
    aim = np.array([metres(facets[name]["aim_x"]), metres(facets[name]["aim_y"])])
    before = facet.heights_for(read, lamp, board, 0)
    goal = facet.heights_for(aim, None, f, 0)
    lifts = turned(row["to do"])
    for stud, lift in zip(names, lifts):
        shown = row[f"{stud} turns"]
        signed = float(sum(Fraction(piece) for piece in shown.lstrip("+-").split())) * (-1 if shown[0] == "-" else 1)
        if abs(signed * pitch * toward - lift) > 1e-9 or abs(number(row[f"{stud} mm"]) * 1e-3 - lift) > 6e-7:
            slips.append(f"{name}: words and numbers differ at {stud}: {row}")
    after = before + lifts
    normal = facet.normal(after)
    lands = spot(facet.at, normal, None, f)
    # As far as half a step at each of two studs can be off, whichever way.
    halves = [np.linalg.norm(spot(facet.at, facet.normal(goal + np.array([0, a, b]) * step / 2), None, f) - aim)
              for a, b in itertools.product((-1, 1), repeat=2)]
    off = np.linalg.norm(lands - aim)
    was = np.linalg.norm(spot(facet.at, facet.normal(before), None, f) - aim)
    worst = max(worst, off)
    if off > 1.02 * max(halves) + 1e-5:
        slips.append(f"{name}: the spot lies {1e3 * off:.2f} mm off its aim point (was {1e3 * was:.2f}), rounding allows {1e3 * max(halves):.2f}")
    # What the list says is left, and how the spot was to move on the board.
    left = normal - facet.normal(goal)
    r = np.hypot(*facet.at[:2])
    sin, cos = facet.at[0] / r, facet.at[1] / r
    radial, across = np.dot(left, facet.outward), np.dot(left, np.cross(facet.outward, facet.n))
    left = 1e3 * np.array([radial * sin + across * cos, radial * cos - across * sin])
    shown = np.array([float(row["left x mrad"]), float(row["left y mrad"])])
    if np.abs(left - shown).max() > 0.0006 + 0.02 * np.abs(left).max():
        slips.append(f"{name}: left {left}, shown {shown}")
    moves = 1e3 * (spot(facet.at, normal, lamp, board) - read)
    shown = np.array([float(row["spot right mm"]), float(row["spot up mm"])])
    if np.abs(moves - shown).max() > 0.06:
        slips.append(f"{name}: the spot moves {moves}, shown {shown}")
    # No other steps nearby leave less, and none leaves the same with less turning.
    size = np.linalg.norm(normal - facet.normal(goal))
    for a, b in itertools.product(range(-2, 3), repeat=2):
        other = np.linalg.norm(facet.normal(after + np.array([0, a, b]) * step) - facet.normal(goal))
        if other < size * 0.999 - 1e-7:
            slips.append(f"{name}: {a}, {b} steps more leave {other}, not {size}")
    steps = np.rint(lifts / step).astype(int)
    fixed = studs.get("fixed_stud")
    if fixed and steps[names.index(fixed)] != 0:
        slips.append(f"{name}: the fixed stud is turned: {row}")
    if studs.get("keeps") == "least-turning" and np.abs(steps).sum() > min(np.abs(steps - k).sum() for k in steps):
        slips.append(f"{name}: less turning does the same: {row}")
    # The middle itself moves a little along the normal; it must not matter.
    shift = facet.middle(lifts) - facet.at
    if studs.get("keeps") == "centre" and np.linalg.norm(shift) > 0.51 * step:
        slips.append(f"{name}: the middle moved by {shift}")
    moved = spot(facet.at + shift, normal, None, f)
    pistons = max(pistons, np.linalg.norm(moved - lands))
if done != set(facets):
    slips.append(f"not on the list: {sorted(set(facets) - done)}")
if pistons > 2.5e-3:
    slips.append(f"the middle's own shift moves a spot by {1e3 * pistons:.2f} mm")
verdict = "agrees" if not slips else "differs"
print(f"{verdict}: {len(done)} facets turned, farthest from its aim point {1e3 * worst:.2f} mm; the middle's own shift {1e3 * pistons:.2f} mm")
print("\n".join(slips[:20]))
sys.exit(1 if slips else 0)
