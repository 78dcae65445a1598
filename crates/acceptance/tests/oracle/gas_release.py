"""Compares releases with CoolProp's real-gas isentropic flow and emptying with SciPy's integrator.

Standard input: a JSON list of {kind, …}. `flow`: gas, megapascals, kelvins, air_pascals, flux (kg/s
through 1 m² with C_d 1), high (flux with the allowance). `emptying`: gas, volume, area_times_cd,
megapascals, kelvins, air_pascals, end_pascals, isothermal, adiabatic, ratio, compressibility. Ends
with status 1 when something is off, or nothing came.
"""

import json
import math
import sys

import CoolProp as CP
from CoolProp.CoolProp import AbstractState, PropsSI
from scipy.integrate import solve_ivp
from scipy.optimize import minimize_scalar

R = 8.31446261815324
MOLAR = {"hydrogen": 2.01588e-3, "helium": 4.002602e-3, "nitrogen": 28.01348e-3}
STATES = {}


def real_flux(gas, p0, t0, air):
    """The largest flux of an isentropic expansion to a pressure between p0 and that of the air."""
    state = STATES.setdefault(gas, AbstractState("HEOS", gas.capitalize()))
    state.update(CP.PT_INPUTS, p0, t0)
    h0, s0 = state.hmass(), state.smass()

    def flux(p):
        state.update(CP.PSmass_INPUTS, p, s0)
        return state.rhomass() * math.sqrt(max(2 * (h0 - state.hmass()), 0))

    low = max(air, 0.3 * p0)
    best = minimize_scalar(lambda p: -flux(p), bounds=(low, 0.99 * p0), method="bounded")
    return max(flux(best.x), flux(low))


def opening(case, g, p, t):
    """Flow by the formulas, written anew from the ideal-gas energy balance."""
    molar, air = MOLAR[case["gas"]], case["air_pascals"]
    critical = (2 / (g + 1)) ** (g / (g - 1))
    throat = max(air / p, critical)
    if throat >= 1:
        return 0.0
    temperature = t * throat ** ((g - 1) / g)
    speed = math.sqrt(2 * g / (g - 1) * R / molar * (t - temperature))
    return case["area_times_cd"] * throat * p * molar / (R * temperature) * speed


worst = {}
bad = checked = 0
for case in json.load(sys.stdin):
    gas = case["gas"]
    p0, t0, air = case["megapascals"] * 1e6, case["kelvins"], case["air_pascals"]
    checked += 1
    if case["kind"] == "flow":
        real = real_flux(gas, p0, t0, air)
        plain, high = case["flux"] / real - 1, case["high"] / real - 1
        low, top, above, most = worst.get(gas, (1, -1, 1, -1))
        worst[gas] = (min(low, plain), max(top, plain), min(above, high), max(most, high))
        # With the allowance never low, and not absurdly high; hydrogen by the brief of 0 to 3 %.
        bad += not 0 <= high <= (0.05 if gas == "nitrogen" else 0.033)
        if gas == "hydrogen" and p0 >= 5e6 and t0 >= 253:
            bad += not 0 <= plain <= 0.03
        continue
    g, volume, end = case["ratio"], case["volume"], case["end_pascals"]
    molar = MOLAR[gas]

    def warm(_, y):
        # ∂ρ/∂p of the real gas at constant temperature.
        slope = PropsSI("d(Dmass)/d(P)|T", "T", t0, "P", y[0], gas.capitalize())
        return [-opening(case, g, y[0], t0) / (volume * slope)]

    def cold(_, y):
        t = t0 * (y[0] / p0) ** ((g - 1) / g)
        slope = molar / (case["compressibility"] * g * R * t)
        return [-opening(case, g, y[0], t) / (volume * slope)]

    for name, rate in (("isothermal", warm), ("adiabatic", cold)):
        done = lambda _, y: y[0] - end
        done.terminal = True
        span = 3 * case[name]
        got = solve_ivp(rate, (0, span), [p0], events=done, rtol=1e-10, atol=1e-3, method="LSODA")
        time = got.t_events[0][0]
        error = abs(case[name] / time - 1)
        # CoolProp's and our density differ by 4e-5, their slopes by more.
        bad += not error <= (5e-4 if name == "isothermal" else 2e-5)
        print(f"{gas} {name}: {case[name]} against {time:.6g} s, off by {error:.1e}")
for gas, (low, top, above, most) in sorted(worst.items()):
    print(f"{gas}: Z = 1 from {low:+.2%} to {top:+.2%}, with allowance {above:+.2%} to {most:+.2%}")
print(f"{checked} checked, {bad} off")
sys.exit(1 if bad or not checked else 0)
