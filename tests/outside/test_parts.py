"""A folder of parts with values by other libraries; collected where GOODSHOT_PARTS names one."""

import json
import pathlib

import numpy as np
import pytest

import outside
from conftest import PARTS

FOLDER = pathlib.Path(PARTS)
REFERENCE = json.loads((FOLDER / "reference.json").read_text())
CLOSED = [name for name, known in REFERENCE.items()
          if not name.startswith("_") and known["watertight"] and not name.startswith("d_")]
AXES = ("+z", "+x", "+y")


def wanted(name, *keys):
    value = REFERENCE[name]
    for key in keys:
        value = value.get(key) if value else None
    return value


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
    twice = [repair["volume_mm3"] for repair in answer["part"]["repairs"] if repair["kind"] == "unite_bodies"]
    if twice:
        whole = outside.united(outside.read(FOLDER / f"{name}.stl"))
        assert sum(twice) == pytest.approx(abs(known["volume"]) - whole.volume, rel=1e-4)
        known = {"volume": whole.volume, "area": whole.area, "com": whole.center_mass}
    # Parts published inside out are turned round.
    assert answer["part"]["volume_mm3"] == pytest.approx(abs(known["volume"]), rel=1e-6)
    assert answer["part"]["area_mm2"] == pytest.approx(known["area"], rel=1e-6)
    size = np.linalg.norm(np.subtract(REFERENCE[name]["bbox_max"], REFERENCE[name]["bbox_min"]))
    assert answer["part"]["centroid_mm"] == pytest.approx(known["com"], abs=1e-5 * size)


@over(CLOSED, AXES)
def test_projected_area(report):
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
    known = dict(zip(("p05", "p50", "p95"), REFERENCE[name]["ray_thickness"]["p5_50_95"]))
    ray = answer["thickness"]["ray_mm"]
    astray = [key for key in known if ray[key] != pytest.approx(known[key], rel=0.03)]
    # Where the walls jump from one value to another, a small step of the share is a large one in value.
    ordered = outside.ray_thickness(outside.read(FOLDER / f"{name}.stl"), 2000) if astray else []
    assert [key for key in astray if not outside.near_quantile(ray[key], ordered, int(key[1:]) / 100)] == [], (ray, known)


# The known values count every ball; the report leaves out those that a convex edge holds (less than 105 degrees
# between the contacts). So the balls are made once more here: all of them must give the known median, and those that
# no edge holds must give the median of the report.
@over([n for n in CLOSED if wanted(n, "sphere_sep45")])
def test_ball_thickness(report):
    name, _, answer = report
    diameters, contacts = outside.balls(outside.read(FOLDER / f"{name}.stl"), 1000)
    assert outside.near_quantile(wanted(name, "sphere_sep45", "p5_50_95")[1], np.sort(diameters), 0.5, 0.05)
    walls = np.sort(diameters[contacts >= np.radians(105)])
    assert outside.near_quantile(answer["thickness"]["ball_mm"]["p50"], walls, 0.5, 0.05)


# Parts whose facets are few enough to try every one of them along many directions.
@pytest.mark.parametrize("name", [n for n in CLOSED if REFERENCE[n]["triangles"] < 5000])
def test_no_other_pull_traps_less(name, checked):
    answer = checked(FOLDER / f"{name}.stl", pull=None).report
    mesh = outside.read(FOLDER / f"{name}.stl")
    chosen = outside.trapped_share(mesh, answer["pull"]["direction"], 1000)
    # A depth below the noise is none, however much area it has.
    if answer["undercut"]["depth_mm"] == 0:
        assert chosen < 0.01
    least = min(outside.trapped_share(mesh, way, 100) for way in outside.half_sphere(150))
    assert chosen <= least + 0.05
