"""A performance run worked out from the raw files of logger and meter, by pandas and SciPy.

Arguments: logger's file, its zone, seconds that its clock is ahead; the same for the meter; the
reflectances of the survey in percent; criteria.toml. Prints JSON.
"""

import json
import sys
import tomllib

import numpy as np
import pandas as pd
from scipy.signal import correlate, correlation_lags

logger, logger_zone, logger_ahead, meter, meter_zone, meter_ahead, survey, criteria = sys.argv[1:]
with open(criteria, "rb") as file:
    limits = {limit["id"]: limit["value"] for limit in tomllib.load(file)["limit"]}


def limit(name):
    value = limits[f"performance-{name}"]
    return float(value.split()[0]) / (100 if value.endswith("%") else 1)


def middles(stamps, zone, ahead, half):
    local = pd.to_datetime(stamps, dayfirst=stamps.iloc[0][2] == ".")
    utc = local.dt.tz_localize(zone).dt.tz_convert("UTC")
    return utc - pd.Timedelta(seconds=float(ahead)) + half


step = pd.Timedelta("1min")
light = pd.read_csv(logger, skiprows=[0, 2, 3], na_values=["NAN", "-9999"])
light.index = middles(light["TIMESTAMP"], f"UTC{logger_zone}", logger_ahead, -step / 2)
power = pd.read_csv(meter, skiprows=1, sep=";", decimal=",", na_values=["---"])
power.index = middles(power["local time"], f"UTC{meter_zone}", meter_ahead, step / 2)
g, air, wind = light["DNI_Avg"], light["Tair_Avg"], light["Wind_Avg"]
p = power["net power (kW)"]

length = pd.Timedelta(limits["performance-interval-length"].replace(" ", ""))
per = length / step
resampled = {
    name: part.resample(length) for name, part in dict(g=g, p=p, air=air, wind=wind).items()
}
table = pd.DataFrame({name: part.mean() for name, part in resampled.items()})
for name, part in resampled.items():
    table[f"n_{name}"] = part.count()
table["low"], table["high"] = resampled["g"].min(), resampled["g"].max()
enough = (table[[f"n_{name}" for name in resampled]] >= per * (1 - limit("missing"))).all(axis=1)
swing = np.maximum(table.high - table.g, table.g - table.low) / table.g
steady = enough & (table.low >= limit("irradiance")) & (swing <= limit("irradiance-change"))
used = table[steady & (table.wind <= limit("wind"))]

rho = np.mean([float(one) for one in survey.split(",")]) / 100
rho_ref, a, b, c = (limit(f"model-{name}") for name in ["reflectance", "a", "b", "c"])
warm = 1 - c * (used.air - limit("model-air"))


def ratio(reflectance):
    expected = (a * used.g * reflectance / rho_ref - b) * warm
    return float(used.p.mean() / expected.mean())


# Lag: both on one grid of minutes, about their means, nothing where nothing was measured.
x, y = (part.resample(step).mean() for part in (g, p))
index = x.index.union(y.index)
x, y = ((part - part.mean()).reindex(index).fillna(0).to_numpy() for part in (x, y))
lags, found = correlation_lags(len(y), len(x)), correlate(y, x)
inside = np.abs(lags) <= 120
lag = lags[inside][found[inside].argmax()]
print(
    json.dumps(
        {
            "intervals": len(used),
            "ratio": ratio(rho),
            "ratio_at_reference": ratio(rho_ref),
            "power": float(used.p.mean()),
            "irradiance": float(used.g.mean()),
            "reflectance": 100 * rho,
            "lag_minutes": int(lag),
        }
    )
)
