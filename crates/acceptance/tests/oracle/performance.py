"""Performance runs worked out again: pandas, SciPy, NumPy, uncertainties, pvlib."""

import json
import math
import sys

import numpy
import pandas
import pvlib
import scipy.signal
import scipy.stats
from uncertainties import correlated_values, ufloat


def number(text):
    return float(text.split()[0].rstrip("%"))


def fraction(text):
    return number(text) / (100 if "%" in text else 1)


def series(part, ahead):
    """Values by the middle of their step, in UTC."""
    step = pandas.Timedelta(part["interval"].replace(" min", "min"))
    times = pandas.to_datetime(part["times"], utc=True) - pandas.Timedelta(seconds=ahead)
    middle = times + (step / 2 if part["label"] == "start" else -step / 2)
    values = [float(text) if text else math.nan for text in part["values"]]
    return pandas.Series(values, index=middle).sort_index(), step


def near(got, expected, tolerance, what):
    got = float(got)
    assert abs(got - expected) <= tolerance * max(abs(expected), 1e-9), (what, got, expected)


def check(case):
    given = case["input"]
    limits = {name: given["limits"][name]["value"] for name in given["limits"]}
    ahead = {name: number(text) for name, text in given["clock_offsets"].items()}
    parts = {}
    for name in ["irradiance", "power", "ambient", "wind"]:
        clock = ahead["power" if name == "power" else "irradiance"]
        parts[name], step = series(given[name], clock)
    length = pandas.Timedelta(limits["interval_length"].replace(" min", "min"))
    per = int(length / step)

    # Intervals by resampling; those at the ends only where both series fill them.
    frames = {name: part.resample(length) for name, part in parts.items()}
    table = pandas.DataFrame(
        {
            **{name: frame.mean() for name, frame in frames.items()},
            **{"n_" + name: frame.count() for name, frame in frames.items()},
            **{"size_" + name: frame.size() for name, frame in frames.items()},
            "low": frames["irradiance"].min(),
            "high": frames["irradiance"].max(),
        }
    )
    both = [parts["irradiance"].index, parts["power"].index]
    first = max(index[0] for index in both).floor(length)
    last = min(index[-1] for index in both).floor(length)
    table = table.loc[first:last]
    full = (table.size_irradiance == per) & (table.size_power == per)
    ends = (table.index == first) | (table.index == last)
    table = table[full | ~ends]
    missing = {name: 1 - table["n_" + name] / per for name in parts}
    allowed = fraction(limits["missing"])
    good = ~(pandas.DataFrame(missing) > allowed).any(axis=1)
    good &= table.low >= number(limits["irradiance"])
    change = numpy.maximum(table.high - table.irradiance, table.irradiance - table.low)
    good &= change / table.irradiance <= fraction(limits["irradiance_change"])
    good &= table.wind <= number(limits["wind"])
    used = table[good]
    assert len(used) == int(case["good"]), ("good", len(used), case["good"])
    share = (missing["irradiance"] + missing["power"]).sum() / 2 / len(table)
    near(case["missing"], 100 * share, 5e-3, "missing")

    # Ratio with its uncertainty.
    rho = [fraction(text) for text in given["reflectance"].values()]
    near(case["rho"], numpy.mean(rho), 1e-6, "rho")
    near(case["s_rho"], numpy.std(rho, ddof=1), 5e-3, "s")
    model = given["model"]
    a, b, c = (number(model[name]) for name in "abc")

    def standard(statement):
        assert statement["distribution"] == "expanded"
        return fraction(statement["value"]) / float(statement["coverage_factor"])

    g = ufloat(1, standard(given["uncertainty"]["irradiance"]))
    p = ufloat(1, standard(given["uncertainty"]["power"]))
    m = ufloat(1, standard(given["uncertainty"]["reflectance"]))

    def ratio(mean_rho, g, p, m):
        warm = 1 - c * (used.ambient - number(model["t_ref"]))
        gained = (a * used.irradiance * mean_rho / fraction(model["rho_ref"]) * warm).sum()
        return p * used.power.sum() / (gained * g * m - (b * warm).sum())

    r = ratio(numpy.mean(rho), g, p, m)
    near(case["R"], r.n, 2e-6, "R")
    near(case["u"], r.s, 2e-6, "u")
    near(case["R_ref"], ratio(fraction(model["rho_ref"]), 1, 1, 1), 2e-6, "R_ref")
    near(case["S"], -r.derivatives[g] / r.n, 2e-6, "S")
    limit = fraction(limits["ratio"])
    conforms = 100 * scipy.stats.norm.sf(limit, r.n, r.s)
    assert abs(float(case["p"]) - min(conforms, 99.99)) < 0.006, (case["p"], conforms)
    guarded = given["limits"]["ratio"]["rule"] == "guarded"
    edge = limit + 2 * r.s if guarded else limit
    if guarded:
        near(case["acceptance"], edge, 1e-4, "acceptance")
    if case["verdict"] != "not_judged":
        assert case["verdict"] == ("pass" if r.n >= edge else "fail"), case["verdict"]

    # Lag: both on one grid of steps, about their means, nothing where nothing was measured.
    grid = {name: parts[name].resample(step).mean() for name in ["irradiance", "power"]}
    index = grid["irradiance"].index.union(grid["power"].index)
    x, y = (
        (grid[name] - grid[name].mean()).reindex(index).fillna(0).to_numpy()
        for name in ["irradiance", "power"]
    )
    full = scipy.signal.correlate(y, x, mode="full")
    lags = scipy.signal.correlation_lags(len(y), len(x), mode="full")
    full = full / math.sqrt((x * x).sum() * (y * y).sum())
    inside = abs(lags) <= pandas.Timedelta("2h") / step
    best = full[inside].argmax()
    near(case["r"], full[inside][best], 1e-3, "r")
    minutes = lags[inside][best] * step / pandas.Timedelta("1min")
    assert float(case["lag"]) == minutes, ("lag", case["lag"], minutes)

    # Peak: vertex of the parabola, and its uncertainty from the covariance of the fit.
    light = parts["irradiance"].dropna()
    middle = light.index[len(light) // 2]
    hours = ((light.index - middle) / pandas.Timedelta("1h")).to_numpy()
    fit, covariance = numpy.polyfit(hours, light.to_numpy(), 2, cov=True)
    bend, slope, _ = correlated_values(fit, covariance)
    vertex = -slope / (2 * bend)
    peak = middle + pandas.Timedelta(hours=vertex.n)
    off = abs((pandas.Timestamp(case["peak"]) - peak).total_seconds())
    assert off < 1.5, ("peak", case["peak"], peak)
    near(case["u_peak"], 60 * vertex.s, 6e-3, "u_peak")

    # Solar noon by another implementation of the same algorithm.
    day = middle.normalize()
    transit = pvlib.solarposition.sun_rise_set_transit_spa(
        pandas.DatetimeIndex([day]), number(given["latitude"]), number(given["longitude"])
    )["transit"].iloc[0]
    off = abs((pandas.Timestamp(case["noon"]) - transit).total_seconds())
    assert off < 3, ("noon", case["noon"], transit)


for number_of, one in enumerate(json.load(sys.stdin)):
    check(one)
    print(number_of, "agrees")
