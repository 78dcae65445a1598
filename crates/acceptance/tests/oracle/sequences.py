"""Negative-sequence factors by symmetrical components (Fortescue), from the three sides.

Each line: three sides and the factor in percent. The triangle is laid down in the plane, the
components are taken with numpy. Ends with status 1 when one differs, or when no line came.
"""

import sys

import numpy as np

a = np.exp(2j * np.pi / 3)
worst, count = 0.0, 0
for line in sys.stdin:
    ab, bc, ca, factor = map(float, line.split())
    x = (ab**2 + ca**2 - bc**2) / (2 * ab)
    corner = [0, ab, x + 1j * np.sqrt(ca**2 - x**2)]
    sides = [corner[1] - corner[0], corner[2] - corner[1], corner[0] - corner[2]]
    one = abs(sides[0] + a * sides[1] + a**2 * sides[2])
    two = abs(sides[0] + a**2 * sides[1] + a * sides[2])
    expected = 100 * min(one, two) / max(one, two)
    worst = max(worst, abs(factor - expected) / max(expected, 0.01))
    count += 1
print(f"{count} triangles agree" if count and worst < 1e-4 else f"worst {worst:.2e} of {count}")
sys.exit(0 if count and worst < 1e-4 else 1)
