#!/usr/bin/env python3
"""Times of random polylines by a linear-programming solver, as a table that the Rust tests read.

The fastest profile under the survey's limits is the one with the greatest sum of v² at the corners:

    maximise  sum x[i]   with  x[i] = v² at the start of leg i, x[0] = x[n] = 0
    0 <= x[i] <= the least of the corner's and both legs' limits, squared
    |x[i+1] - x[i]| <= 2·a·d of leg i

which HiGHS solves through scipy.optimize.linprog without knowing of passes or buffers.

    python3 -m venv target/reference
    target/reference/bin/pip install -r tests/reference/requirements.txt
    target/reference/bin/python tests/reference/time_lp.py            # writes time_lp.csv beside this file
    target/reference/bin/python tests/reference/time_lp.py --check    # solves again, compares, exits 1 if they differ

The polylines come from a fixed seed through Python's own generator, whose numbers are the same everywhere.
"""

import argparse
import math
import pathlib
import random
import sys

import numpy
import scipy
from scipy.optimize import linprog
from scipy.sparse import coo_array

TABLE = pathlib.Path(__file__).with_name("time_lp.csv")
SEED = 6556
POLYLINES = 80
MOST_LEGS = 60  # the Rust side uses a clock that holds more
AGREEMENT = 1e-9  # relative, between two runs of the solver
LIMITS = "speed_x,speed_y,speed_z,speed_e,accel_x,accel_y,accel_z,accel_e,accel_print,accel_travel,accel_retract"


def polyline(rng):
    """Legs of 0.02 to 80 mm: straight on, bending, sharp, back, up, and of the filament alone."""
    legs, heading, feed = [], rng.uniform(0, 360), 60.0
    usual = 10 ** rng.uniform(-1.5, 1.7)
    for _ in range(rng.randint(1, MOST_LEGS)):
        kind = rng.random()
        length = usual * 10 ** rng.uniform(-0.3, 0.3)
        if rng.random() < 0.2:
            feed = round(10 ** rng.uniform(0.7, 2.5), 2)
        if kind < 0.5:
            heading += rng.gauss(0, 8)
        elif kind < 0.75:
            heading += rng.choice([90, -90, 120, -135, rng.uniform(-180, 180)])
        elif kind < 0.78:
            heading += 180
        x, y = length * math.cos(math.radians(heading)), length * math.sin(math.radians(heading))
        delta = [x, y, 0.0, length * rng.uniform(0.01, 0.08)]
        if kind >= 0.94:
            delta = [0.0, 0.0, 0.0, rng.choice([-0.8, 0.8, 3.0])]
        elif kind >= 0.9:
            delta = [0.0, 0.0, rng.choice([0.2, 0.4, -0.3, 5.0]), 0.0]
        elif kind >= 0.87:
            delta = [x, y, length * 0.02, 0.0]
        elif kind >= 0.8:
            delta = [x, y, 0.0, rng.choice([0.0, -0.2])]
        delta = [round(part, 4) for part in delta]
        if any(delta):
            legs.append((delta, feed))
    return legs or [([1.0, 0.0, 0.0, 0.0], feed)]


def machine(rng):
    """Limits in whole µm/s, µm/s² and µm."""
    def pick(low, high):
        return round(10 ** rng.uniform(math.log10(low), math.log10(high)))

    limits = [pick(80_000, 500_000), pick(80_000, 500_000), pick(5_000, 40_000), pick(20_000, 80_000)]
    limits += [pick(5e5, 1e7), pick(5e5, 1e7), pick(5e4, 1e6), pick(5e5, 1e7)]
    limits += [pick(3e5, 5e6), pick(3e5, 8e6), pick(5e5, 5e6)]
    if rng.random() < 0.5:
        return limits, ("steps", [pick(1_000, 20_000), pick(1_000, 20_000), pick(200, 2_000), pick(1_000, 10_000)])
    return limits, ("deviation", [pick(5, 200)])


def seconds(legs, limits, corner):
    """Total time, s, with the speeds that the solver finds."""
    speed, most_accel, accels = limits[0:4], limits[4:8], limits[8:11]
    count = len(legs)
    length, accel, cap, unit, alone = [], [], [], [], []
    for (x, y, z, e), feed in legs:
        in_space = math.hypot(x, y, z)
        alone.append(in_space == 0)
        d = in_space or abs(e)
        u = [x / d, y / d, z / d, e / d]
        own = accels[2] if in_space == 0 else accels[0] if e > 0 else accels[1]
        length.append(d)
        unit.append(u)
        accel.append(min([own / 1e3] + [a / 1e3 / abs(part) for a, part in zip(most_accel, u) if part]))
        cap.append(min([feed] + [v / 1e3 / abs(part) for v, part in zip(speed, u) if part]))

    upper = numpy.zeros(count + 1)
    for i in range(1, count):
        u, w = unit[i - 1], unit[i]
        limit = min(cap[i - 1], cap[i]) ** 2
        if corner[0] == "steps":
            for step, a, b in zip(corner[1], u, w):
                if a != b:
                    limit = min(limit, (step / 1e3 / abs(b - a)) ** 2)
        else:
            if alone[i - 1] != alone[i]:
                turn = math.pi / 2
            else:
                axes = [3] if alone[i] else [0, 1, 2]
                dot = sum(u[k] * w[k] for k in axes)
                apart = math.sqrt(sum((w[k] - u[k]) ** 2 for k in axes))
                turn = 2 * math.asin(min(1.0, apart / 2)) if dot > 0 else math.acos(max(-1.0, dot))
            s = math.sin((math.pi - turn) / 2)
            if s < 1:
                limit = min(limit, min(accel[i - 1], accel[i]) * corner[1][0] / 1e3 * s / (1 - s))
        upper[i] = limit

    gain = numpy.array([2 * a * d for a, d in zip(accel, length)])
    legs_index = numpy.arange(count)
    rows = numpy.concatenate([legs_index, legs_index, legs_index + count, legs_index + count])
    columns = numpy.concatenate([legs_index + 1, legs_index, legs_index, legs_index + 1])
    values = numpy.concatenate([numpy.ones(count), -numpy.ones(count)] * 2)
    found = linprog(
        -numpy.ones(count + 1),
        A_ub=coo_array((values, (rows, columns)), shape=(2 * count, count + 1)).tocsr(),
        b_ub=numpy.concatenate([gain, gain]),
        bounds=numpy.column_stack([numpy.zeros(count + 1), upper]),
        method="highs",
        options={"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10},
    )
    if not found.success:
        raise RuntimeError(found.message)

    total = 0.0
    squares = numpy.maximum(found.x, 0)
    for d, a, v, start, end in zip(length, accel, cap, squares, squares[1:]):
        top = min(v * v, (start + end) / 2 + a * d)
        up, down = max(0.0, (top - start) / (2 * a)), max(0.0, (top - end) / (2 * a))
        peak = math.sqrt(top)
        total += 2 * up / (math.sqrt(start) + peak) + 2 * down / (math.sqrt(end) + peak)
        total += max(0.0, d - up - down) / peak
    return total


def solver():
    """Name and version of whose numbers these are."""
    try:
        from scipy.optimize._highspy import _core as highs

        version = f"{highs.HIGHS_VERSION_MAJOR}.{highs.HIGHS_VERSION_MINOR}.{highs.HIGHS_VERSION_PATCH}"
    except (ImportError, AttributeError):
        version = "as bundled"
    return f"HiGHS {version} through scipy.optimize.linprog, SciPy {scipy.__version__}"


def rows():
    """The table's rows, as text without the total, and the total."""
    rng = random.Random(SEED)
    for number in range(POLYLINES):
        limits, corner = machine(rng)
        legs = polyline(rng)
        head = ["job", number, corner[0], *corner[1], *[""] * (4 - len(corner[1])), *limits]
        lines = [",".join(map(str, ["leg", number, *delta, feed])) for delta, feed in legs]
        yield ",".join(map(str, head)), lines, seconds(legs, limits, corner)


def write():
    with TABLE.open("w", encoding="ascii", newline="\n") as out:
        out.write(f"# Maker: {solver()}.\n")
        out.write(f"# Written by time_lp.py, seed {SEED}. Lengths mm, feeds mm/s, limits um/s, um/s2, um.\n")
        out.write(f"# job,number,corner,corner_1..4,{LIMITS},total_s\n")
        out.write("# leg,number,x,y,z,e,feed\n")
        for head, legs, total in rows():
            out.write(f"{head},{total:.12g}\n" + "".join(leg + "\n" for leg in legs))


def check():
    lines = [line for line in TABLE.read_text(encoding="ascii").splitlines() if not line.startswith("#")]
    worst = 0.0
    for head, legs, total in rows():
        kept_head, _, kept_total = lines[0].rpartition(",")
        if kept_head != head or lines[1 : len(legs) + 1] != legs:
            sys.exit(f"{TABLE.name}: its polylines are not those of seed {SEED}: write it anew")
        worst = max(worst, abs(float(kept_total) / total - 1))
        lines = lines[len(legs) + 1 :]
    if lines or worst > AGREEMENT:
        sys.exit(f"{TABLE.name}: {len(lines)} rows too many, worst difference {worst:.1e}: write it anew and see why")
    print(f"{TABLE.name}: {POLYLINES} polylines solved again by {solver()}; worst difference {worst:.1e}")


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description="Times of random polylines by a linear-programming solver.")
    parser.add_argument("--check", action="store_true", help="solve again and compare with the table")
    check() if parser.parse_args().check else write()
