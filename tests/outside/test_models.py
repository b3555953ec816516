"""The demo parts against their own facets and against the CAD kernel that made them."""

import json

import numpy as np
import pytest

import outside
from conftest import ROOT

MODELS = ROOT / "models"
REFERENCE = json.loads((MODELS / "reference.json").read_text())
NAMES = [name for name in REFERENCE if not name.startswith("_")]
PLASTIC = {"bar_end_plug": "pp", "cable_clip": "pp", "lamp_bracket": "abs"}


@pytest.fixture
def asked(checked):
    def ask(name):
        return checked(MODELS / f"{name}.stl", "--plastic", PLASTIC[name])
    return ask


@pytest.mark.parametrize("name", NAMES)
def test_measures_of_the_facets(name, asked):
    mesh, report = outside.read(MODELS / f"{name}.stl"), asked(name).report
    volume, area, centroid = outside.mass(mesh)
    assert report["part"]["closed"] and report["part"]["bodies"] == 1 and not report["part"]["defects"]
    assert report["part"]["facets"] == REFERENCE[name]["facets"] == len(mesh.faces)
    assert report["part"]["volume_mm3"] == pytest.approx(volume, rel=1e-6)
    assert report["part"]["area_mm2"] == pytest.approx(area, rel=1e-6)
    assert report["part"]["centroid_mm"] == pytest.approx(centroid, abs=1e-5)
    assert report["pull"]["projected_area_mm2"] == pytest.approx(outside.projected_area(mesh, "+z"), rel=1e-6)
    share = report["undercut"]["area_mm2"] / report["part"]["area_mm2"]
    assert share == pytest.approx(outside.trapped_share(mesh, outside.axis("+z"), 2000), abs=0.02)
    ordered = outside.ray_thickness(mesh, 2000)
    for wanted, key in ((0.05, "p05"), (0.5, "p50"), (0.95, "p95")):
        assert outside.near_quantile(report["thickness"]["ray_mm"][key], ordered, wanted), key


@pytest.mark.parametrize("name", NAMES)
def test_measures_of_the_exact_solid(name, asked):
    """The facets leave the solid by the chord error at most, and that bounds the volume."""
    report, exact, chord = asked(name).report, REFERENCE[name]["brep"], REFERENCE[name]["chord_mm"]
    assert abs(report["part"]["volume_mm3"] - exact["volume_mm3"]) <= chord * exact["area_mm2"]
    assert report["part"]["area_mm2"] == pytest.approx(exact["area_mm2"], rel=2e-3)
    assert report["part"]["centroid_mm"] == pytest.approx(exact["centroid_mm"], abs=chord)
    for end in ("min", "max"):
        assert report["part"]["bounding_box_mm"][end] == pytest.approx(exact["bounding_box_mm"][end], abs=chord)


def test_the_plug_can_be_cut(asked):
    answer, features = asked("bar_end_plug"), REFERENCE["bar_end_plug"]["features"]
    report = answer.report
    assert (answer.code, report["verdict"]) == (0, "cut"), report["findings"]
    radius = np.sqrt(features["projected_area_mm2"] / np.pi)
    missing = features["projected_area_mm2"] - report["pull"]["projected_area_mm2"]
    assert 0 <= missing <= 2 * np.pi * radius * REFERENCE["bar_end_plug"]["chord_mm"]
    assert report["undercut"]["area_mm2"] < 1e-3 * report["part"]["area_mm2"]
    assert report["draft"]["short_area_mm2"] < 1e-2 * report["part"]["area_mm2"]
    walls = features["wall_mm"]
    assert min(walls.values()) * 0.95 < report["thickness"]["ball_mm"]["p50"] < max(walls.values()) * 1.05


def test_the_clip_is_held_by_its_hook(asked):
    answer, hook = asked("cable_clip"), REFERENCE["cable_clip"]["features"]["hook"]
    report = answer.report
    assert (answer.code, report["verdict"]) != (0, "cut")
    # Trapped: the catch, and below it the arm and the floor that the hook hides.
    assert report["undercut"]["area_mm2"] > 2 * hook["catch_area_mm2"]
    assert report["undercut"]["depth_mm"] == pytest.approx(hook["depth_mm"], rel=0.15)


def test_the_bracket_fails_where_it_was_made_to_fail(asked):
    answer, features = asked("lamp_bracket"), REFERENCE["lamp_bracket"]["features"]
    report = answer.report
    assert answer.code == 1 and report["verdict"] in ("fix_first", "do_not_cut")

    thin = features["thin_wall"]
    assert any(holds(region, thin["at_mm"]) and region["value_mm"] == pytest.approx(thin["wall_mm"], rel=0.05)
               for region in report["thickness"]["thin"]), report["thickness"]["thin"]
    lump = features["thick_lump"]
    assert any(holds(region, lump["at_mm"], 6.0) for region in report["thickness"]["thick"])
    ribs = features["zero_draft_ribs"]
    for y in ribs["y_mm"]:
        assert any(face["draft_deg"] < 0.1 and abs(face["at_mm"][1] - y) < ribs["wall_mm"] / 2 + 0.05
                   for face in report["draft"]["faces"]), f"no face short of draft on the rib at y = {y}"
    hole = features["side_hole"]
    # The two halves of the hole, one in each ear.
    around = [r for r in report["undercut"]["regions"]
              if np.hypot(r["at_mm"][0] - hole["at_mm"][0], r["at_mm"][2] - hole["at_mm"][2]) < 1.2 * hole["radius_mm"]]
    assert sum(r["volume_mm3"] for r in around) == pytest.approx(hole["trapped_mm3"], rel=0.1), around
    assert sum(r["area_mm2"] for r in around) == pytest.approx(
        2 * np.pi * hole["radius_mm"] * hole["wall_mm"], rel=0.1), around


def holds(region, place, margin=1.0):
    """Whether a place lies in the box of a region."""
    low, high = (np.array(region["box_mm"][end]) for end in ("min", "max"))
    return bool(np.all(low - margin <= place) and np.all(np.array(place) <= high + margin))
