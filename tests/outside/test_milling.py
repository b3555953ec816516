"""What cutters leave: rough fields closed again by SciPy, and a box whose corners are known."""

import json
import math
import pathlib

import numpy as np
import pytest
import scipy.ndimage
import trimesh

from conftest import check

FIELDS = pathlib.Path(__file__).parents[2] / "target" / "tmp" / "milling_fields.json"

CUTTERS = """name = "one"
holder = "20 mm"
[[cutter]]
kind = "flat"
diameter = "{diameter} mm"
flute = "30 mm"
shank = "{diameter} mm"
stickout = "40 mm"
"""


def seen():
    assert FIELDS.exists(), "run cargo test before: it writes the fields"
    return json.loads(FIELDS.read_text())


@pytest.mark.parametrize("index", range(4))
def test_closing_is_that_of_scipy(index):
    data = seen()
    wide, high = data["size"]
    field = np.array(data["field"]).reshape(high, wide)
    cutter = data["cutters"][index]
    offsets = np.array(cutter["offsets"])
    reach = int(abs(offsets[:, :2]).max())
    footprint = np.zeros((2 * reach + 1,) * 2, bool)
    structure = np.zeros(footprint.shape)
    at = (offsets[:, 1].astype(int) + reach, offsets[:, 0].astype(int) + reach)
    footprint[at] = True
    structure[at] = -offsets[:, 2]
    # Off the grid nothing stands in the way, and no tip goes there: SciPy's own border would count the edge twice.
    padded = np.pad(field, reach, constant_values=-1e9)
    tips = scipy.ndimage.grey_dilation(padded, footprint=footprint, structure=structure)
    tips[np.pad(np.zeros(field.shape, bool), reach, constant_values=True)] = 1e9
    closed = scipy.ndimage.grey_erosion(tips, footprint=footprint, structure=structure)
    inner = slice(reach, -reach)
    ours = np.array(cutter["closed"]).reshape(high, wide)
    assert np.abs(ours - closed[inner, inner]).max() < 1e-12
    # Away from the border the one call does the same.
    whole = scipy.ndimage.grey_closing(field, footprint=footprint, structure=structure)
    away = slice(2 * reach, -2 * reach)
    assert np.abs(ours[away, away] - whole[away, away]).max() < 1e-12
    # Each offset is one that the cutter has, and none is missing: the profile is symmetric.
    assert np.array_equal(footprint, footprint[::-1, ::-1]) and np.array_equal(structure, structure.T)


@pytest.mark.parametrize("diameter", [3, 6])
def test_corners_of_a_box(tmp_path, diameter):
    """R (sqrt 2 - 1) of metal in each corner of the plan, and R^2 (1 - pi/4) of plan gone from the part."""
    part = tmp_path / "box.stl"
    trimesh.creation.box((30, 20, 8)).export(part)
    file = tmp_path / "cutters.toml"
    file.write_text(CUTTERS.format(diameter=diameter))
    words = ("--no-fill", "--tools", file, "--mill-cell", "0.1 mm", "--as-milled")
    report = check(part, tmp_path / "out", *words).report
    milling = report["milling"]
    radius = diameter / 2
    assert milling["cell_mm"] == 0.1 and milling["cutters_given"]
    assert len(milling["unreached"]) == 4
    for place in milling["unreached"]:
        assert place["left_mm"] == pytest.approx(radius * (math.sqrt(2) - 1), abs=0.1)
        assert place["area_mm2"] == pytest.approx(radius**2 * (1 - math.pi / 4), abs=0.1 * diameter / 2)
    gone = 4 * radius**2 * (1 - math.pi / 4) * 8
    # Half a cell along both walls of each corner.
    assert milling["lost_mm3"] == pytest.approx(gone, abs=4 * 8 * 0.1 * diameter / 2)
    drawn = check(part, tmp_path / "drawn", "--no-fill").report
    lost = drawn["shot"]["part_g"] - report["shot"]["part_g"]
    assert lost / drawn["shot"]["part_g"] == pytest.approx(milling["lost_mm3"] / 4800, rel=1e-6)
    assert (tmp_path / "out/box/maps/milling.png").exists()
