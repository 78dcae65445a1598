"""Recomputes leaks from many readings with CoolProp's densities and SciPy's regression.

Standard input: a JSON list of {input, sheet} of the calculation decay-regression, pressures in
bar(g), barometer in hPa, temperatures in °C, volumes in L, times elapsed in h or moments, statements
rectangular in their own unit or percent. Ends with status 1 when something is off, or nothing came.
"""

import datetime
import json
import math
import sys

import numpy
from CoolProp.CoolProp import PropsSI
from scipy import stats


def number(text):
    return float(text.split()[0])


def decimals(text):
    number = text.split()[0]
    return 10 ** -len(number.split(".")[1]) if "." in number else 1.0


def rectangular(statement, shown):
    size = number(statement["value"])
    return (size / 100 * shown if "%" in statement["value"] else size) / math.sqrt(3)


def hours(reading):
    if "elapsed" in reading:
        return number(reading["elapsed"])
    return datetime.datetime.fromisoformat(reading["at"]).timestamp() / 3600


bad = checked = 0
for case in json.load(sys.stdin):
    given, sheet = case["input"], case["sheet"]
    doubt = given["uncertainty"]
    parts = given.get("parts") or [
        {"volume": given["volume"], "volume_uncertainty": doubt["volume"]}
    ]
    volumes = numpy.array([number(part["volume"]) for part in parts]) / 1e3
    used = [reading for reading in given["readings"] if "left_out" not in reading]
    t = numpy.array([hours(reading) for reading in used])
    t -= t[0]
    gauge = numpy.array([number(reading["gauge_pressure"]) for reading in used])
    air = numpy.array([number(reading["barometer"]) for reading in used]) / 1e3
    kelvins = numpy.array(
        [[number(x) + 273.15 for x in r.get("temperatures", [r.get("temperature")])] for r in used]
    )
    gas = given["gas"].capitalize()

    def masses(scale=0.0, drift=0.0, air_off=0.0, warm=0.0, warmer=0.0, volumes=volumes):
        along = t / t[-1]
        p = (gauge + air + scale + drift * along + air_off) * 1e5
        total = numpy.zeros(len(t))
        for k, volume in enumerate(volumes):
            off = numpy.zeros(len(volumes))
            at = kelvins[:, k] + (warm if numpy.isscalar(warm) else warm[k])
            at = at + (warmer if numpy.isscalar(warmer) else warmer[k]) * along
            total += volume * PropsSI("D", "T", at, "P", p, gas)
        return total

    def judged(m):
        line = stats.linregress(t, m)
        flow = -line.slope * 1e6
        if "loss" not in given["limit"]:
            return flow
        return 100 * flow / 1e6 * number(given["limit"]["per"]) / line.intercept

    line = stats.linregress(t, masses())
    n = len(t)
    spread = float(((t - t.mean()) ** 2).sum())
    # What the displays' steps explain, by differences of CoolProp's masses.
    steps = numpy.zeros(n)
    base = masses()
    for change, step in [
        ({"scale": 1e-3}, numpy.array([decimals(r["gauge_pressure"]) for r in used])),
        ({"air_off": 1e-3}, numpy.array([decimals(r["barometer"]) / 1e3 for r in used])),
    ]:
        steps += ((masses(**change) - base) / 1e-3 * step) ** 2 / 12
    for k in range(len(parts)):
        one = numpy.zeros(len(parts))
        one[k] = 1e-2
        step = numpy.array([decimals(r.get("temperatures", [r.get("temperature")])[k]) for r in used])
        steps += ((masses(warm=one) - base) / 1e-2 * step) ** 2 / 12
    scatter = math.sqrt(((base - line.intercept - line.slope * t) ** 2).sum() / (n - 2)) if n > 2 else 0
    scatter = max(scatter, math.sqrt(steps.mean()))
    s_b = scatter / math.sqrt(spread) * 1e6
    quantile = stats.t.ppf(0.95, n - 2) if n > 2 else stats.norm.ppf(0.95)

    variance = 0.0
    flow_variance = 0.0

    def add(u, **change):
        global variance, flow_variance
        if u == 0:
            return
        up = masses(**{key: value * 0.1 if key != "volumes" else volumes + 0.1 * value for key, value in change.items()})
        down = masses(**{key: -value * 0.1 if key != "volumes" else volumes - 0.1 * value for key, value in change.items()})
        variance += ((judged(up) - judged(down)) / 0.2) ** 2
        flow = [-stats.linregress(t, m).slope * 1e6 for m in (up, down)]
        flow_variance += ((flow[0] - flow[1]) / 0.2) ** 2

    u = rectangular(doubt["gauge_scale"], gauge if "%" in doubt["gauge_scale"]["value"] else 0)
    add(1, scale=u)
    add(1, drift=rectangular(doubt["gauge_drift"], 0))
    add(1, air_off=rectangular(doubt["barometer"], 0) / 1e3)
    for k, part in enumerate(parts):
        one = numpy.zeros(len(parts))
        one[k] = 1.0
        add(1, warm=one * rectangular(doubt["temperature"], 0))
        add(1, warmer=one * rectangular(doubt["temperature_drift"], 0))
        add(1, volumes=one * rectangular(part["volume_uncertainty"], volumes[k] * 1e3) / 1e3)

    values = {result["name"]: result for result in sheet["results"]}
    flow = -line.slope * 1e6
    statistical = flow + quantile * s_b
    total = statistical + stats.norm.ppf(0.95) * math.sqrt(flow_variance)
    expected = {
        "flow": flow,
        "flow_bound_scatter": statistical,
        "flow_bound": total,
    }
    for name, theirs in expected.items():
        checked += 1
        # A line through CoolProp's masses differs by what the equations differ.
        error = abs(float(values[name]["value"]) - theirs) / abs(total)
        bad += not error <= 2e-3
        print(f"{name}: {values[name]['value']} against {theirs:.6g}, off by {error:.1e}")
    loss_s_b = s_b * (judged(masses()) / flow)
    whole = math.sqrt(variance + loss_s_b**2)
    ours = float(sheet["combined"]["standard"])
    checked += 1
    bad += not abs(ours / whole - 1) <= 5e-3
    print(f"combined: {ours} against {whole:.6g}")
print(f"{checked} checked, {bad} off")
sys.exit(1 if bad or not checked else 0)
