"""Bounds of failure rates and probabilities, and the comparison of two sets, by SciPy.

Each line: `time r T at_failure low high tail_low tail_high` (bounds of the rate), `demand r n low
high tail_low tail_high`, or `split r1 r2 T1 T2 p`. A tail_low of -1 means no lower bound. Ends with
status 1 when a number is off by more than 2e-5, or when a kind never came.
"""

import sys

from scipy import stats

worst = {}


def compare(kind, got, expected):
    error = abs(got - expected) / max(abs(expected), 1e-12) if expected else abs(got)
    worst[kind] = max(worst.get(kind, 0.0), error)


for line in sys.stdin:
    kind, *numbers = line.split()
    n = [float(number) for number in numbers]
    if kind == "time":
        r, t, ended, low, high, below, above = n
        if below >= 0:
            compare(kind, low, stats.gamma.ppf(below, r) / t if r else 0.0)
        compare(kind, high, stats.gamma.ppf(1 - above, r if ended else r + 1) / t)
    elif kind == "demand":
        r, count, low, high, below, above = n
        if below >= 0:
            compare(kind, low, stats.beta.ppf(below, r, count - r + 1) if r else 0.0)
        compare(kind, high, stats.beta.ppf(1 - above, r + 1, count - r) if r < count else 1.0)
    else:
        first, second, t1, t2, p = n
        test = stats.binomtest(int(first), int(first + second), t1 / (t1 + t2))
        compare(kind, p, test.pvalue)

print(worst, "agree" if len(worst) == 3 and max(worst.values()) < 2e-5 else "differ")
sys.exit(0 if len(worst) == 3 and max(worst.values()) < 2e-5 else 1)
