"""Recomputes masses of gas in circuits made of parts, and their doubt, with CoolProp.

Standard input: a JSON list of {input, sheet} of the calculation gas-mass, pressures in bar,
temperatures in °C, volumes in L, statements rectangular. First-order doubt by central differences
of CoolProp's own densities. Ends with status 1 when something is off, or nothing came.
"""

import json
import math
import sys

from CoolProp.CoolProp import PropsSI


def number(text):
    return float(text.split()[0])


def stated(statement, shown):
    size = number(statement["value"])
    return (size / 100 * shown if "%" in statement["value"] else size) / math.sqrt(3)


bad = checked = 0
for case in json.load(sys.stdin):
    given, sheet = case["input"], case["sheet"]
    parts = given.get("parts") or [
        {"volume": given["volume"], "volume_uncertainty": given["uncertainty"]["volume"]}
    ]
    doubt = given["uncertainty"]
    relative = "%" in doubt["gauge"]["value"]
    # Every input with its standard uncertainty, in bar, °C and L.
    inputs = [(0.0, stated(doubt["gauge"], 1.0))]
    inputs += [(number(p["volume"]), stated(p["volume_uncertainty"], number(p["volume"]))) for p in parts]
    states = []
    for name, sign in (("before", -1), ("after", 1)):
        if name not in given:
            continue
        state = given[name]
        gauge = number(state["gauge_pressure"])
        decimals = len(state["gauge_pressure"].split()[0].split(".")[1])
        states.append((sign, gauge))
        inputs.append((gauge, 10**-decimals / math.sqrt(12)))
        inputs.append((number(state["barometer"]) / 1000, stated(doubt["barometer"], 0) / 1000))
        texts = state.get("temperatures") or [state["temperature"]]
        inputs += [(number(t), stated(doubt["temperature"], 0)) for t in texts]

    def mass(values):
        values = iter(values)
        scale = next(values)
        volumes = [next(values) for _ in parts]
        total = 0.0
        for sign, shown in states:
            gauge, air = next(values), next(values)
            p = (gauge + air + (scale * shown if relative else scale)) * 1e5
            for volume in volumes:
                t = next(values) + 273.15
                total += sign * volume / 1e3 * PropsSI("D", "T", t, "P", p, given["gas"].capitalize())
        return total

    values = [value for value, _ in inputs]
    variance = 0.0
    for place, (value, u) in enumerate(inputs):
        if u == 0:
            continue
        up, down = list(values), list(values)
        up[place] += 0.1 * u
        down[place] -= 0.1 * u
        variance += ((mass(up) - mass(down)) / 0.2) ** 2
    name = "admitted" if "before" in given else "mass"
    got = next(result for result in sheet["results"] if result["name"] == name)
    for what, ours, theirs, bound in (
        ("mass", float(got["value"]), mass(values), 2e-4),
        ("doubt", float(got["standard_uncertainty"]), math.sqrt(variance), 3e-3),
    ):
        checked += 1
        error = abs(ours / theirs - 1)
        bad += not error <= bound
        print(f"{name} {what}: {ours} against {theirs:.6g}, off by {error:.1e}, bound {bound:.0e}")
print(f"{checked} checked, {bad} off")
sys.exit(1 if bad or not checked else 0)
