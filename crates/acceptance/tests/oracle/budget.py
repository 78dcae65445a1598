"""Redoes a hydrogen test with `uncertainties`, which differentiates by itself.

Reads one JSON object: the input as typed, and loss, mass lost and their standard uncertainties as
the program printed them. The equation is typed here a second time from Lemmon, Huber & Leachman
(2008), so that a slip in one of the two shows.
"""

import json
import math
import sys

from uncertainties import ufloat

A = [0.05888460, -0.06136111, -0.002650473, 0.002731125, 0.001802374, -0.001150707,
     0.9588528e-4, -0.1109040e-6, 0.1264403e-9]
B = [1.325, 1.87, 2.5, 2.8, 2.938, 3.14, 3.37, 3.75, 4.0]
C = [1.0, 1.0, 2.0, 2.0, 2.42, 2.63, 3.0, 4.0, 5.0]
UNITS = {"bar": 1e5, "bar(g)": 1e5, "MPa(a)": 1e6, "hPa": 100.0, "K": 1.0, "L": 1e-3, "%": 0.01}


def density(p, t):
    z = 1 + sum(a * (100 / t) ** b * (p / 1e6) ** c for a, b, c in zip(A, B, C))
    return p * 2.01588e-3 / (z * 8.314472 * t)


def split(text):
    number, unit = text.split()
    return number, unit


def value(text):
    number, unit = split(text)
    return float(number) + 273.15 if unit == "°C" else float(number) * UNITS[unit]


def step(text):
    number, unit = split(text)
    decimals = len(number.partition(".")[2])
    return 10.0 ** -decimals * UNITS.get(unit, 1.0)


def standard(statement):
    size = value(statement["value"])
    kind = statement["distribution"]
    if kind == "expanded":
        return size / float(statement["coverage_factor"])
    return size / {"rectangular": math.sqrt(3), "triangular": math.sqrt(6), "standard": 1}[kind]


def display(text):
    return ufloat(0, step(text) / math.sqrt(12))


case = json.load(sys.stdin)
test = case["input"]
doubt = test["uncertainty"]
scale = ufloat(0, standard(doubt["gauge_scale"]))
relative = doubt["gauge_scale"]["value"].endswith("%")
states = []
for end in (test["start"], test["end"]):
    typed = end.get("gauge_pressure") or end["absolute_pressure"]
    p = value(typed) + display(typed) + (value(typed) * scale if relative else scale)
    if "gauge_repeatability" in doubt:
        p += ufloat(0, standard(doubt["gauge_repeatability"]))
    if "barometer" in end:
        p += value(end["barometer"]) + display(end["barometer"])
        p += ufloat(0, standard(doubt["barometer"]))
    t = value(end["temperature"]) + ufloat(0, standard(doubt["temperature"]))
    t += display(end["temperature"])
    states.append(density(p, t))
volume = value(test["volume"]) + ufloat(0, standard(doubt["volume"]))
loss = 100 * (1 - states[1] / states[0])
mass = volume * (states[0] - states[1])

bad = False
for name, got, wanted in [
    ("loss", case["loss"], loss.n),
    ("u(loss)", case["u_loss"], loss.s),
    ("mass lost", case["mass"], mass.n),
    ("u(mass lost)", case["u_mass"], mass.s),
]:
    off = abs(float(got) / wanted - 1)
    print(f"{name}: program {got}, here {wanted:.6e}, off by {off:.1e}")
    bad = bad or not off < 6e-4
print("differs" if bad else "agrees")
sys.exit(1 if bad else 0)
