"""Doubt carried forward by a general library (uncertainties) and fits by numpy, compared with what Latchwork says.

Reads cases as JSON and prints, for each, the same figures worked out here.
"""
import json
import sys

import numpy as np
from uncertainties import correlated_values


def yarn(case):
    """Metres of several fabrics: loops of each kind times lengths that share their doubt; fabrics are independent."""
    total = case["tails"]
    for f in case["fabrics"]:
        v = f["variance"]
        knit, tuck = correlated_values([f["knit"], f["tuck"]], [[v[0], v[2]], [v[2], v[1]]])
        total += (f["loops"][0] * knit + f["loops"][1] * tuck) / 1000
    return [total.nominal_value, total.std_dev]


def fit(case):
    """Weighted least squares of the two loop lengths."""
    a = np.array([r[:2] for r in case["rows"]])
    y = np.array([r[2] for r in case["rows"]])
    w = 1 / np.array([r[3] for r in case["rows"]])
    inverse = np.linalg.inv((a * w[:, None] ** 2).T @ a)
    x, *_ = np.linalg.lstsq(a * w[:, None], y * w, rcond=None)
    return [x[0], x[1], inverse[0, 0] ** 0.5, inverse[1, 1] ** 0.5]


def curve(case):
    """A polynomial through points, and the spread of the next measurement at x."""
    x, y = np.array(case["x"]), np.array(case["y"])
    order = 1 if len(set(case["x"])) < 4 else 2
    design = np.vander(x, order + 1)
    coefficients = np.polyfit(x, y, order)
    residual = y - design @ coefficients
    assumed = case["assumed"] * y.mean()
    freedom = len(x) - order - 1
    deviation = ((4 * assumed**2 + residual @ residual) / (4 + freedom)) ** 0.5
    row = np.vander([case["at"]], order + 1)[0]
    lever = row @ np.linalg.inv(design.T @ design) @ row
    value = np.polyval(coefficients, case["at"])
    return [value, deviation * (1 + lever) ** 0.5 / value]


KINDS = {"yarn": yarn, "fit": fit, "curve": curve}
print(json.dumps([[float(v) for v in KINDS[c["kind"]](c)] for c in json.load(sys.stdin)]))
