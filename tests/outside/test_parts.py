"""A folder of parts with values by other libraries, where GOODSHOT_PARTS names one; else there is no such test."""

import json
import os
import pathlib

import numpy as np
import pytest

FOLDER = pathlib.Path(os.environ.get("GOODSHOT_PARTS", os.devnull))
REFERENCE = json.loads((FOLDER / "reference.json").read_text()) if FOLDER.is_dir() else {}
CLOSED = [name for name, known in REFERENCE.items()
          if not name.startswith("_") and known["watertight"] and not name.startswith("d_")]
AXES = ("+z", "+x", "+y")


def wanted(name, *keys):
    value = REFERENCE[name]
    for key in keys:
        value = value.get(key) if value else None
    return value


def near(value, percentiles, place, slack):
    """Whether a quantile agrees; only three are known, so a jump between walls cannot be allowed for."""
    return value == pytest.approx(percentiles[place], rel=slack)


@pytest.fixture
def report(request, checked):
    name, pull = request.param
    return name, pull, checked(FOLDER / f"{name}.stl", pull=pull).report


def over(names, pulls=("+z",)):
    return pytest.mark.parametrize("report", [(n, p) for n in names for p in pulls], indirect=True, ids="-".join)


@over(CLOSED)
def test_volume_area_and_centroid(report):
    name, _, answer = report
    known = REFERENCE[name]["numpy64"]
    assert answer["part"]["closed"]
    # Parts published inside out are turned round.
    assert answer["part"]["volume_mm3"] == pytest.approx(abs(known["volume"]), rel=1e-6)
    assert answer["part"]["area_mm2"] == pytest.approx(known["area"], rel=1e-6)
    size = np.linalg.norm(np.subtract(REFERENCE[name]["bbox_max"], REFERENCE[name]["bbox_min"]))
    assert answer["part"]["centroid_mm"] == pytest.approx(known["com"], abs=1e-5 * size)


@over(CLOSED, AXES)
def test_shadow(report):
    name, pull, answer = report
    known = REFERENCE[name]["silhouette"][pull[1]]
    assert answer["pull"]["projected_area_mm2"] == pytest.approx(known["best"], rel=max(1e-6, 2 * known["rel_diff"]))


@over([n for n in CLOSED if wanted(n, "undercut_z_sensitivity", "usable")])
def test_undercut(report):
    name, _, answer = report
    share = answer["undercut"]["area_mm2"] / answer["part"]["area_mm2"]
    assert share == pytest.approx(REFERENCE[name]["undercut_z_sensitivity"]["0.0001"]["all"], abs=0.02)


@over([n for n in CLOSED if wanted(n, "ray_thickness")])
def test_ray_thickness(report):
    name, _, answer = report
    for place, key in enumerate(("p05", "p50", "p95")):
        assert near(answer["thickness"]["ray_mm"][key], REFERENCE[name]["ray_thickness"]["p5_50_95"], place, 0.03), key


@over([n for n in CLOSED if wanted(n, "sphere_sep45")])
def test_ball_thickness(report):
    name, _, answer = report
    assert near(answer["thickness"]["ball_mm"]["p50"], REFERENCE[name]["sphere_sep45"]["p5_50_95"], 1, 0.05)
