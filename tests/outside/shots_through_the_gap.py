"""Shots of a long strip and the pressures that other strips need, by the solver that stands
apart from the program, on presses, bags and molds drawn at random.

Run as a script it writes the table that `tests/fill/calibrated.rs` reads.
"""

import json
import pathlib
import sys

import numpy as np

from melt_through_the_gap import fills, needed

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
    case = lambda length: dict(true(theta), gap=gap, length=length)
    low, high = 1, round(4 * STEP / 1e-3)
    if fills(pressure, case(high * 1e-3)):
        return high * 1e-3
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (middle, high) if fills(pressure, case(middle * 1e-3)) else (low, middle)
    return low * 1e-3


def share(length):
    """Of the volume of the test piece, up to a length."""
    steps = [min(max(length - i * STEP, 0.0), STEP) * gap for i, gap in enumerate(STEPS)]
    return sum(steps) / (STEP * sum(STEPS))


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
    rows = [json.dumps(draw(random)) for _ in range(50)]
    pathlib.Path(sys.argv[1]).write_text("[\n" + ",\n".join(rows) + "\n]\n")
