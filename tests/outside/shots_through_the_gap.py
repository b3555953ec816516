"""Shots of a long strip and of a stepped one, and the pressures that other strips need, by the solver
that stands apart from the program, on presses, bags and molds drawn at random.

Run as a script it writes the table that `tests/fill/calibrated.rs` reads; with `--stepped TABLE` the
lengths that shots of the stepped strip reach, of the same draws.
"""

import json
import pathlib
import sys

import numpy as np

import melt_through_the_gap as gap_solver
from melt_through_the_gap import needed

PP = dict(K0=6.7e3, beta=0.0105, T0=230.0, n=0.36, no_flow=130.0, rho=750.0, cp=2800.0, a=0.72e-7)
# Gaps of the test piece from the gate on, each 50 mm long, and what its four shots are pushed with.
STEPS, STEP = [2e-3, 2e-3, 2e-3, 2e-3], 50e-3
SHOTS = [1.2e6, 2.2e6, 3.6e6, 5.2e6]
# Gap and length of the parts that are predicted.
PARTS = [(1.5e-3, 40e-3), (2e-3, 90e-3), (3e-3, 120e-3)]
# Standard deviations: the pressure factor of bag and press (half as thick again, and 1.15 times the
# loss, in nine cases of ten), the logarithm of the contact, mold and melt in kelvins.
DEVIATIONS = [np.hypot(np.log(1.5), np.log(1.15)) / 1.645, np.log(6.0) / 2 / 1.645, 10 / 1.645, 10 / 1.645]
NOISE = 0.03
# Walls and lengths of the stepped strip, what its shots are pushed with, and how well a length is read.
STEPPED = [(3e-3, 60e-3), (2e-3, 45e-3), (1.5e-3, 30e-3), (1e-3, 25e-3)]
STEPPED_SHOTS = [0.9e6, 2.2e6, 4.6e6, 7.5e6]
READ = 2e-3


def true(theta):
    """The melt as it is: thicker by a factor, behind another contact, offset by kelvins."""
    thicker, contact, mold, melt = theta
    return dict(
        plastic=dict(PP, K0=PP["K0"] * np.exp(thicker)),
        width=lambda x: 1.0,
        contact=2000.0 * np.exp(contact),
        mold=50.0 + mold,
        melt=230.0 + melt,
    )


def reached(pressure, theta):
    """m of the test piece that a pressure fills."""
    gap = lambda x: STEPS[min(int(x / STEP), 3)]
    return gap_solver.reached(pressure, dict(true(theta), gap=gap, length=4 * STEP))


def share(length):
    """Of the volume of the test piece, up to a length."""
    steps = [min(max(length - i * STEP, 0.0), STEP) * gap for i, gap in enumerate(STEPS)]
    return sum(steps) / (STEP * sum(STEPS))


def stepped_wall(x):
    for wall, length in STEPPED:
        if x < length:
            return wall
        x -= length
    return STEPPED[-1][0]


def stepped(theta, random):
    """mm of the stepped strip that each shot reaches, as read off."""
    case = dict(true(theta), gap=stepped_wall, length=sum(length for _, length in STEPPED))
    reached = [gap_solver.reached(pressure, case) for pressure in STEPPED_SHOTS]
    full = case["length"] - 1e-4
    return [None if each > full else round((each + READ * float(random.normal())) * 1e3, 1) for each in reached]


def thetas(random, count):
    """The draws of the table, whose noise is drawn in between."""
    for _ in range(count):
        yield [float(random.normal() * deviation) for deviation in DEVIATIONS]
        for _ in SHOTS:
            random.normal()


def draw(random):
    theta = [float(random.normal() * deviation) for deviation in DEVIATIONS]
    weighed = [
        min(share(reached(pressure, theta)), 1.0) * float(np.exp(NOISE * random.normal()))
        for pressure in SHOTS
    ]
    parts = [needed(dict(true(theta), gap=lambda x, gap=gap: gap, length=length)) for gap, length in PARTS]
    return dict(weighed=[round(each, 5) for each in weighed], needed_pa=[round(part) for part in parts])


if __name__ == "__main__":
    random = np.random.default_rng(20)
    if sys.argv[1] == "--stepped":
        noise = np.random.default_rng(21)
        rows = [json.dumps(stepped(theta, noise)) for theta in thetas(random, 50)]
        pathlib.Path(sys.argv[2]).write_text("[\n" + ",\n".join(rows) + "\n]\n")
        sys.exit()
    rows = [json.dumps(draw(random)) for _ in range(50)]
    pathlib.Path(sys.argv[1]).write_text("[\n" + ",\n".join(rows) + "\n]\n")
