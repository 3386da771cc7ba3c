"""The large die of the bench in NumPy, to compare speed with: `python reference.py`.

The same integral to the same accuracy: exact antiderivatives of the force law at both ends of each
segment, all segments of a station against all heights in one array expression. The sums printed
last are those that the native and the WebAssembly bench print.

The second form is the event form of `docs/kernel.md` written with array expressions.
"""

import math
import time

import numpy as np

STATIONS, SEGMENTS, HEIGHTS = 200, 64, 1000
# Middle of 2.0 to 2.1 mm.
THICKNESS = 2.05e-3
# Mean of 0.8 × 270 and 0.8 × 410 MPa, times the thickness, in newtons per metre.
LINE_FORCE = 0.8 * 340e6 * THICKNESS
SEPARATION, TAIL = 0.7, 0.35 * (10 - 8) / (10 - 4)
SHOULDER = max(TAIL, 0.12)
KNOTS = np.array([0, 0.30 * 0.7, 0.43 * 0.7, 0.53 * 0.7, 0.63 * 0.7, SEPARATION, SEPARATION + 1.2])
VALUES = np.array([0, 0.62, 1, 1, SHOULDER, TAIL, 0])

WIDTHS = np.diff(KNOTS)
SLOPES = np.diff(VALUES) / WIDTHS
FIRST = np.concatenate([[0], np.cumsum(WIDTHS * (VALUES[:-1] + VALUES[1:]) / 2)])
SECOND = np.concatenate(
    [[0], np.cumsum(WIDTHS * (FIRST[:-1] + WIDTHS * (VALUES[:-1] / 2 + WIDTHS * SLOPES / 6)))]
)
# Piece 0 lies before first touch, the last one after the end.
START = np.concatenate([[0], KNOTS])
VALUE = np.concatenate([[0], VALUES[:-1], [0]])
SLOPE = np.concatenate([[0], SLOPES, [0]])
FIRST = np.concatenate([[0], FIRST])
SECOND = np.concatenate([[0], SECOND])


def station(index):
    """Corner places in metres (die coordinates) and their entry heights."""
    angle = 2 * math.pi * np.arange(SEGMENTS) / SEGMENTS
    radius = 40 + 4 * np.sin(5 * angle)
    x, y = 1.5e-3 * radius * np.cos(angle), 1e-3 * radius * np.sin(angle)
    direction = math.radians(7 * index)
    along = x * math.cos(direction) + y * math.sin(direction)
    entry = 6e-3 - 3e-3 * (along - along.min()) / (along.max() - along.min())
    return x + 10e-3 * index - 1.0, y, entry


def antiderivatives(x):
    piece = np.searchsorted(KNOTS, x, side="right")
    d = x - START[piece]
    value, slope, first = VALUE[piece], SLOPE[piece], FIRST[piece]
    return (
        first + d * (value + d * slope / 2),
        SECOND[piece] + d * (first + d * (value / 2 + d * slope / 6)),
    )


def weights(x, y, entry):
    x1, y1, entry1 = np.roll(x, -1), np.roll(y, -1), np.roll(entry, -1)
    per_difference = THICKNESS / (entry1 - entry)
    force = LINE_FORCE * np.hypot(x1 - x, y1 - y) * per_difference
    lever = force * per_difference
    return force, lever * (x1 - x), lever * (y1 - y)


def direct(stations, heights):
    total = np.zeros((3, len(heights)))
    for x, y, entry in stations:
        force, lever_x, lever_y = weights(x, y, entry)
        first, second = antiderivatives((entry[:, None] - heights) / THICKNESS)
        corner = np.roll(force, 1) - force
        total[0] += corner @ first
        total[1] += (corner * x) @ first + (lever_x - np.roll(lever_x, 1)) @ second
        total[2] += (corner * y) @ first + (lever_y - np.roll(lever_y, 1)) @ second
    return total


def events(stations, heights):
    """All knots that all corners of a station pass, gathered by height and added up."""
    change = np.diff(np.concatenate([SLOPES, [0]]), prepend=0)
    middle = heights.mean()
    y_of = (middle - heights) / THICKNESS
    total = np.zeros((3, len(heights)))
    powers = np.vander(y_of, 4, increasing=True).T
    for x, y, entry in stations:
        force, lever_x, lever_y = weights(x, y, entry)
        corner = np.roll(force, 1) - force
        at_x, at_y = lever_x - np.roll(lever_x, 1), lever_y - np.roll(lever_y, 1)
        index = np.searchsorted(-heights, -(entry[:, None] - KNOTS * THICKNESS)).ravel()
        d = (entry[:, None] - middle) / THICKNESS - KNOTS
        first = [change * d * d / 2, change * d, np.broadcast_to(change / 2, d.shape)]
        second = [change * d**3 / 6, first[0], change * d / 2, np.broadcast_to(change / 6, d.shape)]
        swept = lambda values: np.cumsum(
            np.bincount(index, values.ravel(), len(heights) + 1)[: len(heights)]
        )
        for k in range(4):
            if k < 3:
                total[0] += swept(corner[:, None] * first[k]) * powers[k]
            for row, place, lever in ((1, x, at_x), (2, y, at_y)):
                part = lever[:, None] * second[k]
                if k < 3:
                    part = part + (corner * place)[:, None] * first[k]
                total[row] += swept(part) * powers[k]
    return total


def fastest(runs, call):
    times = []
    for _ in range(runs):
        start = time.perf_counter()
        result = call()
        times.append(time.perf_counter() - start)
    return min(times), result


heights = 6e-3 * (1 - np.arange(HEIGHTS) / (HEIGHTS - 1))
stations = [station(index) for index in range(STATIONS)]
for name, form in (("direct", direct), ("events", events)):
    seconds, total = fastest(5, lambda: form(stations, heights))
    each = seconds * 1e9 / (STATIONS * SEGMENTS * HEIGHTS)
    print(f"NumPy {np.__version__}, {name}: {seconds * 1e3:.1f} ms, {each:.2f} ns per segment and height")
    print("  sums", *total.sum(axis=1))
