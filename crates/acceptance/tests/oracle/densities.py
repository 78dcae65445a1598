"""Compares densities from standard input with CoolProp.

Each line: gas, temperature in K, pressure in MPa, density in kg/m³. Ends with status 1 when a gas
is off by more than its bound, or when no line came.
"""

import sys

from CoolProp.CoolProp import PropsSI

BOUNDS = {"hydrogen": 5e-5, "helium": 1e-5, "nitrogen": 1e-4}

worst = {}
for line in sys.stdin:
    gas, kelvins, megapascals, density = line.split()
    expected = PropsSI("D", "T", float(kelvins), "P", float(megapascals) * 1e6, gas.capitalize())
    error = abs(float(density) / expected - 1)
    if gas not in worst or error > worst[gas][0]:
        worst[gas] = (error, kelvins, megapascals)

bad = set(worst) != set(BOUNDS)
for gas, (error, kelvins, megapascals) in sorted(worst.items()):
    print(f"{gas}: worst {error:.2e} at {kelvins} K and {megapascals} MPa, bound {BOUNDS[gas]:.0e}")
    bad = bad or not error <= BOUNDS[gas]
sys.exit(1 if bad else 0)
