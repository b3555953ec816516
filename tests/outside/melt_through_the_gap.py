"""Pressure that fills a strip, a disc or a strip with a step, solved apart from the program.

One half gap, nz even nodes from the middle to the wall; columns follow each other along the
flow, one more each time the front has moved by dx. Power law with exp(-beta T), no slip;
below the no-flow temperature nothing shears. Explicit transport, implicit conduction to a wall
behind a contact h; shear heats; a new column takes the temperature of the middle of the one
behind it (fountain flow). SI units, degrees Celsius.
"""

import numpy as np
from scipy.linalg import solve_banded


def fills(pressure, case, dx=1e-3, nz=60):
    """Whether a constant pressure at the gate reaches the end of `case`."""
    return reached(pressure, case, dx, nz) > case["length"] - dx / 2


def reached(pressure, case, dx=1e-3, nz=60):
    """m that a constant pressure at the gate fills of `case`."""
    p = case["plastic"]
    n, melt, mold, h = p["n"], case["melt"], case["mold"], case.get("contact", 1e9)
    count = round(case["length"] / dx)
    x = (np.arange(count) + 0.5) * dx
    gap = np.array([case["gap"](each) for each in x])
    width = np.array([case["width"](each) for each in x])
    s = (np.arange(nz) + 0.5) / nz
    rho_cp, a = p["rho"] * p["cp"], p["a"]
    columns, time = np.empty((0, nz)), 0.0
    for filled in range(1, count + 1):
        new = melt if not len(columns) else max(columns[-1, 0], mold)
        columns = np.vstack([columns, np.full(nz, new)])
        b = gap[:filled, None] / 2
        dy = b / nz
        k = p["K0"] * np.exp(-p["beta"] * (columns - p["T0"]))
        k = np.where(columns < p["no_flow"], np.inf, k)
        unit_rate = (s * b / k) ** (1 / n)
        flow = 2 * np.sum(s * b * unit_rate * dy, axis=1) * width[:filled]
        if (flow <= 1e-300).any():
            return (filled - 1) * dx
        q = (pressure / (np.sum(flow**-n) * dx)) ** (1 / n)
        gradient = (q / flow) ** n
        dt = dx * gap[filled - 1] * width[filled - 1] / q
        time += dt
        if time > 30:
            return (filled - 1) * dx
        rate = unit_rate * gradient[:, None] ** (1 / n)
        u = (np.cumsum((rate * dy)[:, ::-1], axis=1)[:, ::-1]) - rate * dy / 2
        steps = int(np.clip(np.ceil(1.1 * dt * u.max() / dx), 2, 400))
        t = dt / steps
        source = gradient[:, None] * s * b * rate / rho_cp
        bands = []
        for column in range(filled):
            r = a * t / dy[column, 0] ** 2
            wall = 1 / (0.5 + a * rho_cp / (h * dy[column, 0]))
            band = np.zeros((3, nz))
            band[0, 1:] = band[2, :-1] = -r
            band[1] = 1 + 2 * r
            band[1, 0] = 1 + r
            band[1, -1] = 1 + r + wall * r
            bands.append((band, wall * r * mold))
        kinds = {}
        for column in range(filled):
            kinds.setdefault(gap[column], []).append(column)
        for _ in range(steps):
            behind = np.vstack([np.full((1, nz), melt), columns[:-1]])
            right = columns + t * (u / dx * (behind - columns) + source)
            for own in kinds.values():
                band, cold = bands[own[0]]
                part = right[own].T.copy()
                part[-1] += cold
                columns[own] = solve_banded((1, 1), band, part).T
    return count * dx


def needed(case, **how):
    """Pa: the least constant pressure at the gate that fills `case`."""
    low, high = 0.3e6, 80e6
    for _ in range(10):
        middle = (low * high) ** 0.5
        low, high = (low, middle) if fills(middle, case, **how) else (middle, high)
    return (low * high) ** 0.5
