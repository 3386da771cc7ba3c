"""Values that the tests compare with, worked out independently with SciPy.

    python3 -m venv venv && venv/bin/pip install scipy
    venv/bin/python reference.py

writes crank.csv, slide_on_springs.csv and snap_through.csv beside this script. Nothing is taken from
the program: the crank from the length of its rod, the slide's rest from a root finder and, where it
lets go, from a stiff integration of the damped descent, the snap-through from an adaptive integration
that stops wherever the slide turns. SciPy 1.17.1 wrote the files kept here.
"""

import math
import os

import numpy as np
from scipy.differentiate import derivative
from scipy.integrate import solve_ivp
from scipy.optimize import brentq, root

HERE = os.path.dirname(os.path.abspath(__file__))
LET_GO = 1e-5  # m, in which worked stock lets go when the slide comes back


def write(name, lines):
    with open(os.path.join(HERE, name), "w") as file:
        file.write("\n".join(lines) + "\n")


# ---------------------------------------------------------------- crank


def crank_height(stroke, rod, angle):
    """Height above BDC at an angle from BDC: where the rod reaches the slide pin."""
    r = stroke / 2

    def misfit(h):
        # Crank centre at 0, BDC pin at depth r + rod; crank pin at (r sin, r cos) downwards.
        depth = r + rod - h
        return math.hypot(r * math.sin(angle), depth - r * math.cos(angle)) - rod

    # Of the two places on the axis the lower one.
    return brentq(misfit, r + rod - (r * math.cos(angle) + rod), r + rod - r * math.cos(angle),
                  xtol=1e-16, rtol=1e-15)


def crank_cases():
    lines = ["# stroke_m,rod_m,angle_deg,height_m,lever_m_per_rad"]
    for stroke, rod in [(0.2, 0.9), (0.05, 0.12), (0.4, 0.21), (0.6, 4.5)]:
        for degrees in [1, 5, 15, 30, 45, 60, 90, 120, 150, 175]:
            angle = math.radians(degrees)
            def height(a):
                return np.vectorize(lambda one: crank_height(stroke, rod, one))(a)
            slope = derivative(height, angle, initial_step=1e-2, order=8,
                               tolerances=dict(rtol=1e-10))
            lines.append(f"{stroke},{rod},{degrees},{crank_height(stroke, rod, angle)!r},"
                         f"{float(slope.df)!r}")
    return lines


# ---------------------------------------------------------------- slide on springs


class Station:
    def __init__(self, x, y, rows):
        """rows: (height mm, force kN), falling."""
        self.x, self.y, self.rows = x, y, rows
        self.h = np.array([row[0] for row in reversed(rows)]) * 1e-3
        self.f = np.array([row[1] for row in reversed(rows)]) * 1e3
        self.deepest = math.inf

    def curve(self, h):
        return float(np.interp(h, self.h, self.f, right=0.0))

    def force(self, h):
        if h <= self.deepest:
            return self.curve(h)
        return self.curve(self.deepest) * max(0.0, 1.0 - (h - self.deepest) / LET_GO)


def loads(q, stations):
    f = np.zeros(3)
    for s in stations:
        force = s.force(q[0] + q[1] * s.x + q[2] * s.y)
        f += force * np.array([1.0, s.x, s.y])
    return f


def rest(q, drive, springs, stations):
    stretch, tilt_x, tilt_y, frame = springs
    f = loads(q, stations)
    return np.array([drive + stretch * f[0], tilt_x * f[1], tilt_y * f[2] - frame * f[0]])


def remember(q, stations):
    for s in stations:
        s.deepest = min(s.deepest, q[0] + q[1] * s.x + q[2] * s.y)


def stable(q, drive, springs, stations):
    """Whether the damped descent comes back to q: looked at downwards, where the way goes on."""
    jacobian = np.zeros((3, 3))
    for column, step in enumerate([1e-9, 1e-8, 1e-8]):
        up, down = np.array(q), np.array(q)
        up[column] += step
        down[column] -= step
        kept = [s.deepest for s in stations]
        for s in stations:
            s.deepest = math.inf
        change = rest(up, drive, springs, stations) - rest(down, drive, springs, stations)
        for s, deepest in zip(stations, kept):
            s.deepest = deepest
        jacobian[:, column] = change / (2 * step)
    return np.linalg.eigvals(np.eye(3) - jacobian).real.min() > 0


SCALE = np.array([1.0, 4.0, 4.0])  # tilt times some quarter metre counts as height


def descend(q, drive, springs, stations):
    """Let the slide down at a standing drive, damped, until it rests."""
    for _ in range(20000):
        ahead = solve_ivp(lambda _, q: rest(q, drive, springs, stations) - q, (0, 0.02), q,
                          method="LSODA", rtol=1e-9, atol=1e-14)
        moved = np.abs((ahead.y[:, -1] - q) / SCALE).max()
        q = ahead.y[:, -1]
        remember(q, stations)
        if moved < 1e-12:
            break
    return q


def follow(springs, stations, at, step=1e-6):
    """The slide at the drive heights `at` in mm, and the order in which stations let go."""
    top = max(s.h[-1] for s in stations)
    q = np.array([top, 0.0, 0.0])
    heights = sorted(set(at), reverse=True)
    found, order = [], []
    grid = np.arange(top, -step / 2, -step)
    for h in heights:
        grid = np.append(grid, h * 1e-3)
    grid = np.unique(grid.round(12))[::-1]
    for drive in grid:
        guess = root(lambda q: rest(q, drive, springs, stations) - q, q, method="hybr",
                     options=dict(xtol=1e-14))
        change = np.abs((guess.x - q) / SCALE).max()
        misfit = np.abs((rest(guess.x, drive, springs, stations) - guess.x) / SCALE).max()
        if misfit < 1e-11 and change < 3e-5 and stable(guess.x, drive, springs, stations):
            q = guess.x
        else:
            q = descend(q, drive, springs, stations)
            better = root(lambda q: rest(q, drive, springs, stations) - q, q, method="hybr",
                          options=dict(xtol=1e-14))
            if np.abs((better.x - q) / SCALE).max() < 1e-9:
                q = better.x
        remember(q, stations)
        for index, s in enumerate(stations):
            peak = s.f.argmax()
            gone = [i for i in range(peak, -1, -1) if s.f[i] <= 0.5 * s.f[peak]]
            if gone and s.deepest <= s.h[gone[0]] and index not in order:
                order.append(index)
        for h in heights:
            if abs(drive - h * 1e-3) < 1e-12:
                found.append((drive, *q, loads(q, stations)[0]))
    return found, order


def points(span_x, span_y, point, count):
    """Compliances of 2 or 4 points; stiffness of a point in N/m."""
    if count == 2:
        return [1 / (2 * point), 2 / (point * span_x**2), 0.0, 0.0]
    return [1 / (4 * point), 1 / (point * span_x**2), 1 / (point * span_y**2), 0.0]


def cut(entry, peak, last=0.0):
    """A cut in 2 mm: rise, peak, fall to `last` at 70 % of thickness, kN over mm."""
    return [(entry, 0.0), (entry - 0.4, 0.62 * peak), (entry - 0.6, peak), (entry - 0.75, peak),
            (entry - 0.9, 0.12 * peak), (entry - 1.4, last), (0.0, last)]


def slide_cases():
    tenths = [round(0.1 * i, 3) for i in range(0, 61)]
    two, four = points(0.9, 0.0, 0.75e9, 2), points(0.9, 0.6, 0.375e9, 4)
    gap = [1 / 0.4e9, 1 / 40e6, 1 / 30e6, 0.6e-3 / 630e3]
    ton = 8.896443
    return {
        "springs_only": (four, [Station(0.25, -0.1, [(6.0, 0.0), (0.0, 200.0)]),
                                Station(-0.15, 0.2, [(4.0, 0.0), (0.0, 90.0)])], tenths),
        "lighter_side_first": (two, [Station(-0.3, 0.0, cut(5.0, 100 * ton)),
                                     Station(0.3, 0.0, cut(5.0, 50 * ton))], tenths),
        "four_points_off_centre": (four, [Station(-0.2, 0.1, cut(5.0, 420.0, 20.0)),
                                          Station(0.25, -0.15, cut(4.4, 300.0)),
                                          Station(0.05, 0.2, [(6.0, 0.0), (0.0, 60.0)])], tenths),
        "gap_frame": (gap, [Station(0.05, -0.05, cut(4.0, 300.0)),
                            Station(-0.1, 0.1, [(5.5, 0.0), (0.0, 40.0)])], tenths),
        "all_lets_go_at_once": ([1 / 0.3e9, 1 / 20e6, 1 / 20e6, 0.0],
                                [Station(-0.1, 0.0, cut(5.0, 500.0)),
                                 Station(0.15, 0.05, cut(4.9, 350.0)),
                                 Station(0.0, 0.1, [(1.5, 0.0), (0.0, 300.0)])], tenths),
    }


def slide_lines():
    lines = ["# case,name,stretch,tilt_x,tilt_y,frame_tilt (per newton, per newton metre)",
             "# station,x_m,y_m,height_mm:force_kn ...",
             "# row,drive_m,slide_m,tilt_x,tilt_y,force_n", "# order,stations"]
    for name, (springs, stations, at) in slide_cases().items():
        lines.append("case," + name + "," + ",".join(repr(value) for value in springs))
        for s in stations:
            rows = " ".join(f"{h!r}:{f!r}" for h, f in s.rows)
            lines.append(f"station,{s.x!r},{s.y!r},{rows}")
        rows, order = follow(springs, stations, at)
        lines += ["row," + ",".join(repr(float(value)) for value in row) for row in rows]
        lines.append("order," + " ".join(str(index) for index in order))
        print(name, order, max(abs(row[2]) for row in rows))
    return lines


# ---------------------------------------------------------------- snap-through


def snap(case):
    stroke, rod, spm, mass, k, share, rows, spring = case
    stock = Station(0, 0, rows)
    turning = 2 * math.pi * spm / 60
    damper = 2 * share * math.sqrt(k * mass)
    r = stroke / 2
    start_height = rows[0][0] * 1e-3

    def height(angle):
        return r * (1 - math.cos(angle)) + rod - math.sqrt(rod**2 - (r * math.sin(angle))**2)

    def speed(angle):
        s, c = math.sin(angle), math.cos(angle)
        return -turning * (r * s + r * r * s * c / math.sqrt(rod**2 - (r * s)**2))

    angle0 = brentq(lambda a: height(a) - start_height, 0, math.pi, xtol=1e-15)

    def pushed(y, deepest):
        worked = min(deepest, y)
        hold = min(max(1 - (y - worked) / LET_GO, 0.0), 1.0)
        push = stock.curve(max(y, 0.0)) * hold if y <= stock.h[-1] else 0.0
        if spring and y <= spring[0]:
            push += spring[1] + spring[2] * (spring[0] - max(y, 0.0))
        return push

    def motion(t, state, deepest):
        y, v = state
        angle = angle0 - turning * t
        press = k * (y - height(angle)) + damper * (v - speed(angle))
        return [v, (pushed(y, deepest) - press) / mass]

    end = angle0 / turning + 2 * 2 * math.pi * math.sqrt(mass / k)
    period = 2 * math.pi * math.sqrt(mass / k)
    t, state, deepest = 0.0, [start_height, speed(angle0)], math.inf
    times, heights = [], []
    falling = True

    def turned(t, state, deepest):
        return state[1]

    def deep(t, state, deepest):
        return state[0] - deepest

    while t < end - 1e-12:
        # Going down the stock is worked; from where the slide turns until it is there again it is
        # not.
        memory = math.inf if falling else deepest
        stop = turned if falling else deep
        stop.terminal, stop.direction = True, 1 if falling else -1
        part = solve_ivp(motion, (t, end), state, args=(memory,), method="DOP853", rtol=1e-10,
                         atol=1e-14, max_step=period / 1000, events=stop)
        times += list(part.t)
        heights += list(part.y[0])
        t, state = part.t[-1], part.y[:, -1]
        if part.status == 1:
            if falling:
                deepest = state[0]
                state = [state[0], max(state[1], 1e-15)]
            falling = not falling
        else:
            break
    times, heights = np.array(times), np.array(heights)
    drive = np.array([height(angle0 - turning * one) for one in times])
    pull = k * (drive - heights)
    at = pull.argmax()
    samples = np.linspace(0, end, 41)
    return pull[at], heights[at], [(s, float(np.interp(s, times, heights)),
                                    float(np.interp(s, times, -pull))) for s in samples]


def snap_cases():
    sharp = [(5.0, 0.0), (4.6, 800.0), (4.0, 1000.0), (3.9, 100.0), (3.5, 0.0), (0.0, 0.0)]
    tail = [(5.0, 0.0), (4.5, 600.0), (4.2, 600.0), (4.0, 200.0), (2.0, 0.0), (0.0, 0.0)]
    return {
        "slow": (0.2, 0.9, 20.0, 2500.0, 1.5e9, 0.3, sharp, None),
        "undamped": (0.2, 0.9, 30.0, 2500.0, 1.5e9, 0.0, sharp, None),
        "fast_with_tail": (0.05, 0.3, 300.0, 900.0, 0.8e9, 0.2, tail, None),
        "with_spring": (0.2, 0.9, 45.0, 4000.0, 1.0e9, 0.1, sharp, (4.9e-3, 20e3, 5e6)),
    }


def snap_lines():
    lines = ["# case,name,stroke_m,rod_m,strokes_per_minute,mass_kg,stiffness,damping_share",
             "# stock,height_mm:force_kn ...", "# spring,entry_m,preload_n,rate_n_per_m",
             "# pull,newtons,slide_m", "# row,time_s,slide_m,press_n"]
    for name, case in snap_cases().items():
        lines.append("case," + name + "," + ",".join(repr(value) for value in case[:6]))
        lines.append("stock," + " ".join(f"{h!r}:{f!r}" for h, f in case[6]))
        if case[7]:
            lines.append("spring," + ",".join(repr(value) for value in case[7]))
        pull, at, rows = snap(case)
        lines.append(f"pull,{float(pull)!r},{float(at)!r}")
        lines += ["row," + ",".join(repr(float(value)) for value in row) for row in rows]
        print(name, pull, at)
    return lines


if __name__ == "__main__":
    write("crank.csv", crank_cases())
    write("snap_through.csv", snap_lines())
    write("slide_on_springs.csv", slide_lines())
