"""Lines through points worked out again: numpy.polyfit, scipy.odr, scipy.optimize, scipy.stats.

Reads one JSON object a line: an input and what the program found. The threshold's interval is
compared with the exact test of every candidate (Fieller) and its first-order doubt with a Monte
Carlo run where the slope is well known.
"""

import json
import sys
import warnings

import numpy
import scipy.optimize
import scipy.stats

warnings.simplefilter("ignore", DeprecationWarning)
from scipy import odr  # noqa: E402


def near(got, expected, tolerance, what):
    assert abs(got - expected) <= tolerance * abs(expected), (what, got, expected)


def number(text):
    return float(text.split()[0])


def york_cost(b, x, y, ux, uy, r):
    """S as a function of the slope alone, a being its best value."""
    w = 1 / (uy**2 + b**2 * ux**2 - 2 * b * r * ux * uy)
    a = numpy.sum(w * (y - b * x)) / numpy.sum(w)
    return numpy.sum(w * (y - a - b * x) ** 2), a, w


def check(case, random):
    given, got = case["input"], case["got"]
    x = numpy.array([number(p["irradiance"]) for p in given["points"]])
    y = numpy.array([number(p["power"]) for p in given["points"]])
    ux = numpy.array([number(p["irradiance_doubt"]["value"]) for p in given["points"]])
    uy = numpy.array([number(p["power_doubt"]["value"]) for p in given["points"]])
    r, n, x0 = float(given["correlation"]), len(x), number(given["reference_irradiance"])
    if given["method"] == "ols":
        (b, a), cov = numpy.polyfit(x, y, 1, cov=True)
        own = numpy.sum((y - a - b * x) ** 2) / (n - 2)
        t = scipy.stats.t.ppf(0.975, n - 2)
        cov = cov[::-1, ::-1]
        # Externally studentised residuals by leaving each point out.
        for i, size in enumerate(case["sizes"]):
            keep = numpy.arange(n) != i
            if n < 5:
                break
            (bi, ai), ci = numpy.polyfit(x[keep], y[keep], 1, cov=True)
            s2 = numpy.sum((y[keep] - ai - bi * x[keep]) ** 2) / (n - 3)
            v = s2 + ci[0, 0] * x[i] ** 2 + 2 * ci[0, 1] * x[i] + ci[1, 1]
            expected = (y[i] - ai - bi * x[i]) / numpy.sqrt(v)
            assert abs(float(size) - expected) < 6e-3 * abs(expected) + 1e-6, (size, expected)
    else:
        start = numpy.polyfit(x, y, 1)[0]
        cost = lambda b: york_cost(b, x, y, ux, uy, r)[0]
        b = scipy.optimize.minimize_scalar(
            cost, bracket=(0.98 * start, 1.02 * start), tol=1e-12
        ).x
        s, a, w = york_cost(b, x, y, ux, uy, r)
        if r == 0:
            model = odr.Model(lambda p, x: p[0] + p[1] * x)
            fit = odr.ODR(odr.RealData(x, y, ux, uy), model, [a, b], maxit=500,
                          sstol=1e-14, partol=1e-14).run()
            near(got["slope"], fit.beta[1], 1e-6, "slope of odr")
            near(got["intercept"], fit.beta[0], 1e-6, "intercept of odr")
            cov = fit.cov_beta
        else:
            # Points moved along the direction of their own errors onto the line.
            e = y - a - b * x
            adjusted = x + w * e * (b * ux**2 - r * ux * uy)
            design = numpy.stack([numpy.ones(n), adjusted], axis=1)
            cov = numpy.linalg.inv(design.T @ (w[:, None] * design))
        scale = max(1.0, s / (n - 2))
        cov = cov * scale
        own = scale * numpy.mean(1 / w)
        t = scipy.stats.t.ppf(0.975, n - 2) if s / (n - 2) > 1 else scipy.stats.norm.ppf(0.975)
    loose = 1e-7 if given["method"] == "ols" else 2e-6
    doubt = 1e-4 if given["method"] == "ols" else 2e-3
    near(got["slope"], b, loose, "slope")
    near(got["intercept"], a, loose * 10, "intercept")
    near(got["u_slope"], cov[1, 1] ** 0.5, doubt, "u(slope)")
    near(got["u_intercept"], cov[0, 0] ** 0.5, doubt, "u(intercept)")
    variance = lambda at: cov[0, 0] + 2 * at * cov[0, 1] + at**2 * cov[1, 1]
    near(got["power_at_reference"], a + b * x0, loose, "P_ref")
    near(got["u_power_at_reference"], variance(x0) ** 0.5, doubt, "u(P_ref)")
    near(got["confidence"], t * variance(x0) ** 0.5, doubt, "confidence")
    near(got["prediction"], t * (variance(x0) + own) ** 0.5, doubt, "prediction")
    near(got["r_squared"], scipy.stats.pearsonr(x, y)[0] ** 2, 1e-7, "r²")
    zero = -a / b
    near(got["threshold"], zero, loose * 10, "threshold")
    near(got["u_threshold"], variance(zero) ** 0.5 / b, doubt, "u(threshold)")
    edge = lambda at: abs(a + b * at) - t * variance(at) ** 0.5
    wide = 3 * t * variance(zero) ** 0.5 / b
    for name, sign in (("threshold_low", -1), ("threshold_high", 1)):
        # Near the line's zero the test accepts, far from it it refuses.
        far = zero + sign * wide * 20
        exact = scipy.optimize.brentq(edge, zero, far)
        assert abs(got[name] - exact) < 2e-3 * abs(exact - zero), (name, got[name], exact)
    if cov[1, 1] ** 0.5 < 0.03 * b:
        draws = random.multivariate_normal([a, b], cov, 100_000)
        zeros = -draws[:, 0] / draws[:, 1]
        near(got["u_threshold"], numpy.std(zeros), 0.03, "u(threshold), Monte Carlo")
        return 1
    return 0


random = numpy.random.default_rng(7)
cases = [json.loads(line) for line in sys.stdin if line.strip()]
drawn = sum(check(case, random) for case in cases)
assert drawn > 20, drawn
print(f"{len(cases)} lines agree, {drawn} with a Monte Carlo run")
