"""A typical year of open data, and what NumPy makes of it.

The file 723170TYA.CSV (Greensboro, North Carolina, hourly) lies in pvlib's wheel; nothing of it is
kept here. Each input line: a, b per W/m^2, largest power, threshold, standby, factor on irradiance.
Prints one JSON object: the 8760 values of direct irradiance, and net energy for each line.
"""

import json
import pathlib
import sys

import numpy as np
import pvlib

path = pathlib.Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
data, _ = pvlib.iotools.read_tmy3(str(path), coerce_year=1990, map_variables=True)
dni = data["dni"].to_numpy(dtype=float)
assert dni.size == 8760, dni.size
cases = []
for line in sys.stdin:
    a, b, largest, threshold, standby, factor = map(float, line.split())
    g = factor * dni
    on = g >= threshold
    power = np.clip(a + b * g[on], 0.0, largest)
    cases.append(
        {
            "irradiation": g.sum() / 1e3,
            "irradiation_on": g[on].sum() / 1e3,
            "on_hours": float(on.sum()),
            "made": power.sum(),
            "drawn": standby * (~on).sum(),
        }
    )
assert cases, "no case came"
print(json.dumps({"dni": [f"{value:g}" for value in dni], "cases": cases}))
