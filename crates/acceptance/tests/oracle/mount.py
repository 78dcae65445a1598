"""Oracle for the model of a mount.

`compare`: numpy.linalg.lstsq on the same rows gives terms, standard errors, s, condition number,
correlations, and the correction over the sky with its uncertainty.

`simulate`: own oracle for the signs. A mount is built from rotation matrices (azimuth axis leaning,
elevation axis not square, mirror axis not square) and driven by scipy.optimize until it looks at
each direction; what its encoders then show, less the direction, is printed as readings.
"""

import json
import sys

import numpy as np
from scipy.optimize import fsolve

case = json.load(sys.stdin)
NAMES = ["azimuth-zero", "elevation-zero", "collimation", "squareness", "tilt-north", "tilt-east", "sag"]


def number(text):
    return float(text.split()[0])


def compare():
    given, results = case["input"], case["results"]
    terms = [n for n in NAMES if n in given.get("terms", NAMES)]
    pick = [NAMES.index(n) for n in terms]

    def rows(a, e):
        o, z = np.ones_like(a), np.zeros_like(a)
        s, c = np.sin(e), np.cos(e)
        one = np.stack([c, z, o, s, np.sin(a) * s, -np.cos(a) * s, z], 1)
        two = np.stack([z, o, z, z, np.cos(a), np.sin(a), c], 1)
        return one[:, pick], two[:, pick]

    col = lambda key: np.array([number(r[key]) for r in given["readings"]])
    a, e = np.radians(col("sun_azimuth")), np.radians(col("sun_elevation"))
    w = np.array([float(r.get("weight", "1")) for r in given["readings"]])
    keep = w > 0
    one, two = rows(a[keep], e[keep])
    m = np.vstack([one, two]) * np.sqrt(np.tile(w[keep], 2))[:, None]
    y = np.concatenate([(col("azimuth_error") * np.cos(e))[keep], col("elevation_error")[keep]])
    root = np.sqrt(np.tile(w[keep], 2))
    x, _, rank, sv = np.linalg.lstsq(m, y * root, rcond=None)
    r = y * root - m @ x
    s = np.sqrt(r @ r / (len(y) - len(terms)))
    cov = s**2 * np.linalg.inv(m.T @ m)
    plain = y - np.vstack([one, two]) @ x
    expected = {n.replace("-", "_"): v for n, v in zip(terms, x)}
    expected |= {"s": s, "rms_after": np.sqrt(plain @ plain / keep.sum()), "condition": sv[0] / sv[-1]}
    slips = []
    for name, value in expected.items():
        got = float(results[name]["value"])
        if abs(got - value) > 2e-3 * abs(value) * (name == "condition") + 1e-5 * abs(value) + 1e-8:
            slips.append(f"{name}: {got} against {value}")
    for name, u in zip(terms, np.sqrt(np.diag(cov))):
        got = float(results[name.replace("-", "_")]["standard_uncertainty"])
        if abs(got / u - 1) > 1e-4:
            slips.append(f"u({name}): {got} against {u}")
    d = np.sqrt(np.diag(cov))
    for i, row in enumerate(case["correlations"]):
        for j, text in enumerate(row[1:]):
            if abs(float(text) - cov[i, j] / d[i] / d[j]) > 6e-5:
                slips.append(f"correlation {i} {j}: {text}")
    for row in case["corrections"]:
        one, two = rows(np.radians([float(row[0])]), np.radians([float(row[1])]))
        c = np.cos(np.radians(float(row[1])))
        for text, doubt, line, over in [(row[2], row[3], one[0], c), (row[4], row[5], two[0], 1.0)]:
            value, u = line @ x / over, np.sqrt(line @ cov @ line) / over
            if abs(float(text) - value) > 1e-4 * abs(value) + 1e-7 or abs(float(doubt) / u - 1) > 0.06:
                slips.append(f"correction at {row[:2]}: {text} ({doubt}) against {value} ({u})")
    assert rank == len(terms)
    print("agrees" if not slips else "differs\n" + "\n".join(slips))
    sys.exit(1 if slips else 0)


def simulate():
    t = {k: np.radians(v) for k, v in case["truth"].items()}

    def turn(axis, angle):
        k = np.array(axis, float)
        k /= np.linalg.norm(k)
        x = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
        return np.eye(3) + np.sin(angle) * x + (1 - np.cos(angle)) * x @ x

    # East, north, up. The azimuth axis leans by t_N to the north and t_E to the east.
    lean = np.hypot(t["tilt-north"], t["tilt-east"])
    base = np.eye(3)
    if lean > 0:
        base = turn(np.cross([0, 0, 1], [t["tilt-east"], t["tilt-north"], 0]), lean)

    def looks(azimuth, elevation):
        # The mirror's axis at azimuth and elevation 0 is north, off to the left by c.
        v = turn([0, 0, 1], t["collimation"]) @ np.array([0, 1.0, 0])
        # The elevation axis is east at azimuth 0, its right end lifted by q.
        tilted = turn([0, 1.0, 0], -t["squareness"])
        v = tilted @ turn([1.0, 0, 0], elevation) @ v
        v = turn([0, 0, 1], -azimuth) @ v
        return base @ v

    out = []
    for a, e in case["directions"]:
        a, e = np.radians(a), np.radians(e)
        want = np.array([np.cos(e) * np.sin(a), np.cos(e) * np.cos(a), np.sin(e)])

        def miss(angles):
            v = looks(*angles)
            side = np.array([np.cos(a), -np.sin(a), 0])
            return [v @ side, v @ np.cross(side, want)]

        (m, h), info, ok, message = fsolve(miss, [a, e], xtol=1e-14, full_output=True)
        assert np.abs(info["fvec"]).max() < 1e-12, message
        out.append([np.degrees(m - a + t["azimuth-zero"]),
                    np.degrees(h - e + t["elevation-zero"] + t["sag"] * np.cos(e))])
    print(json.dumps(out))


simulate() if "truth" in case else compare()
