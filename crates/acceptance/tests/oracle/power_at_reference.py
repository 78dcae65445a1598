"""Power at the reference and its doubt, worked out again with `uncertainties`."""

import json
import math
import sys

from uncertainties import ufloat


def number(text):
    return float(text.split()[0])


def standard(statement, value):
    text = statement["value"]
    size = number(text) * (value / 100 if "%" in text else 1)
    return size / math.sqrt(3) if statement["distribution"] == "rectangular" else size


count = 0
for line in sys.stdin:
    case = json.loads(line)
    given, got = case["input"], case["got"]

    def read(field, doubt, offset=0.0):
        value = number(given[field])
        return ufloat(value + offset, standard(given[doubt], value))

    p, g = read("power", "power_doubt"), read("irradiance", "irradiance_doubt")
    t = read("air_temperature", "air_temperature_doubt", 273.15)
    hot = read("hot_temperature", "hot_temperature_doubt", 273.15)
    b = read("slope", "slope_doubt")
    g0, t0 = number(given["reference_irradiance"]), number(given["reference_air_temperature"]) + 273.15
    result = {
        "irradiance_ratio": lambda: p * g0 / g,
        "line": lambda: p + b * (g0 - g),
        "carnot": lambda: p * g0 / g * (1 - t0 / hot) / (1 - t / hot),
        "air_temperature": lambda: p * g0 / g * t / t0,
    }[given["rule"]]()
    assert abs(got["power"] / result.n - 1) < 6e-7, (given["rule"], got, result)
    assert abs(got["u"] / result.s - 1) < 2e-4, (given["rule"], got, result)
    count += 1
print(f"{count} powers agree")
