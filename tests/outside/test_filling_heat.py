"""Pressure that fills a strip while it cools, solved once more with columns of even nodes."""

import json
import pathlib

from melt_through_the_gap import needed

NEEDED = pathlib.Path(__file__).parents[2] / "target" / "tmp" / "fill_needed.json"

# The parameters are part of the cases, not advice.
PLASTICS = {
    "abs": dict(K0=3.93e4, beta=0.028, T0=210.0, n=0.25, no_flow=130.0, rho=970.0, cp=2300.0, a=0.9e-7),
    "pp": dict(K0=6.7e3, beta=0.0105, T0=230.0, n=0.36, no_flow=130.0, rho=750.0, cp=2800.0, a=0.72e-7),
    "hdpe": dict(K0=3.73e3, beta=0.004, T0=220.0, n=0.61, no_flow=118.0, rho=741.0, cp=2700.0, a=0.9e-7),
}


def test_strips_need_the_same_pressure():
    assert NEEDED.exists(), "run cargo test before: it writes the pressures"
    rows = json.loads(NEEDED.read_text())
    assert len(rows) == 3
    for row in rows:
        gap = row["gap_mm"] * 1e-3
        case = dict(
            plastic=PLASTICS[row["plastic"]],
            gap=lambda x, gap=gap: gap,
            width=lambda x: 1.0,
            length=row["length_mm"] * 1e-3,
            melt=row["melt_c"],
            mold=50.0,
            contact=row["contact"],
        )
        ratio = row["needed_pa"] / needed(case)
        assert 0.9 < ratio < 1.1, (row, ratio)
