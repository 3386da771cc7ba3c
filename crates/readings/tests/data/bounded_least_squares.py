"""Bounded least squares by SciPy, as an independent reference.

Writes bounded_least_squares.json beside itself: problems with their matrices and what
scipy.optimize.lsq_linear (method "bvls") finds within 0.3 to 3, with the standard errors of the free
problems by numpy.linalg.inv. To write it anew: python bounded_least_squares.py, with scipy installed.
"""

import json
import pathlib

import numpy
import scipy
from scipy.optimize import lsq_linear

LOW, HIGH = 0.3, 3.0


def curves(rng, rows, columns):
    """Humps along the height, as stations make them, some of them overlapping."""
    height = numpy.linspace(0.0, 1.0, rows)
    middle = rng.uniform(0.1, 0.9, columns)
    width = rng.uniform(0.03, 0.3, columns)
    size = rng.uniform(10.0, 300.0, columns)
    return size * numpy.exp(-(((height[:, None] - middle) / width) ** 2))


def problem(rng, rows, columns):
    matrix = curves(rng, rows, columns)
    # Some factors lie beyond the bounds, so that these hold them.
    truth = rng.choice([0.1, 0.5, 0.9, 1.0, 1.2, 2.0, 4.0], columns)
    right = matrix @ truth + rng.normal(0.0, 5.0, rows)
    matrix, right = numpy.round(matrix, 6), numpy.round(right, 6)
    found = lsq_linear(matrix, right, (LOW, HIGH), method="bvls", tol=1e-14, max_iter=1000)
    variances = numpy.diag(numpy.linalg.inv(matrix.T @ matrix))
    return {
        "matrix": matrix.tolist(),
        "right": right.tolist(),
        "x": found.x.tolist(),
        "left_over": float(2.0 * found.cost),
        "variances": variances.tolist(),
    }


def main():
    rng = numpy.random.default_rng(20260331)
    sizes = [(20, 1), (20, 2), (30, 3), (40, 5), (40, 8), (60, 12)]
    problems = [problem(rng, rows, columns) for rows, columns in sizes for _ in range(3)]
    out = {"scipy": scipy.__version__, "low": LOW, "high": HIGH, "problems": problems}
    path = pathlib.Path(__file__).with_suffix(".json")
    path.write_text(json.dumps(out) + "\n")


main()
