"""The files for CAD and CAM: STEP read by Open CASCADE, the level floors read by ezdxf, and the pose on the mill."""

import json
import math
import re

import ezdxf
import numpy as np
import pytest
import shapely

import cad
import outside
from conftest import ROOT, goodshot
from test_mold import mold  # noqa: F401

PLUG = ROOT / "models/bar_end_plug.stl"
HALVES = ("cavity", "core")
# What runs into the runner has a rim that is no outline of a flat face.
FLAT_SIDED = {"pry slot", "pocket of an insert"}
MEETS_THE_RUNNER = {"sprue", "cold-slug well"}
# A circle is larger than the polygon of 48 sides on it by this share of its square radius.
LARGER = math.pi - 24 * math.sin(math.pi / 24)


@pytest.fixture(scope="module")
def steps(mold):  # noqa: F811
    """Report, folder and solids of one mold, with what Open CASCADE reads of its STEP files."""
    report, folder, solids, _ = mold
    return report, folder, solids, {file.stem: cad.read(file) for file in sorted(folder.glob("*.step"))}


def gained(solid):
    """How much smaller than with polygons of 48 sides the volume is, by its true cylinders and cones."""
    total = 0.0
    for it in solid.rounds:
        if it.lean == 0:
            share = it.radius**2 * it.length
        else:
            # A cone from radius r on along its slant s: area π (r + R) s, volume π h (r² + r R + R²) / 3.
            far = math.sqrt(it.radius**2 + it.area * math.sin(it.lean) / math.pi)
            share = (far**3 - it.radius**3) / (3 * math.tan(it.lean))
        total += share if it.hole else -share
    return LARGER * total


def test_every_solid_is_valid_and_has_the_volume_of_its_stl(steps):
    report, _, solids, read = steps
    assert read.keys() == solids.keys() == {it["file"].removesuffix(".step") for it in report["step_files"]}
    for name, solid in read.items():
        assert solid.valid and solid.others == 0, name
        known = outside.mass(solids[name])[0] - gained(solid)
        assert solid.volume == pytest.approx(known, rel=1e-5), name


def seen(report, half, at):
    """A place of the pose as the drill table has it."""
    off = np.array(at) - report["axes"]["datum_mm"]
    right, up = (off @ np.array(report["axes"][axis]) for axis in "xy")
    mirrored = (report["core_side"] == "+") == (half == "core")
    return np.array([-right if mirrored else right, up])


def test_the_drill_table_is_that_of_the_cylinders(steps):
    report, _, _, read = steps
    for half in HALVES:
        rows = [row for row in report["drill"] if row["half"] == half and row["end_mm"] is None and row["kind"] not in FLAT_SIDED]
        walls = [it for it in read[half].rounds if it.lean == 0]
        missing = set()
        for row in rows:
            place = np.array([row["x_mm"], row["y_mm"]])
            own = [it for it in walls if np.abs(seen(report, half, it.at) - place).max() < 1e-6
                   and abs(2 * it.radius - row["width_mm"]) < 1e-6]
            if len(own) == 1:
                assert own[0].hole and abs(abs(np.dot(own[0].axis, report["pull"])) - 1) < 1e-9
                # A pin ends where the surface of the part is; elsewhere the rims are flat.
                slack = 0.05 if row["kind"] == "ejector pin" else 1e-4
                # Behind its fit the hole of a pin is wider, with a row of its own.
                wider = [it["depth_mm"] for it in rows if row["kind"] == "ejector pin" and it["kind"] == "relief of a pin"
                         and np.abs(np.array([it["x_mm"], it["y_mm"]]) - place).max() < 1e-6]
                deep = row["depth_mm"] - sum(wider)
                if row["kind"] == "cold-slug well" and own[0].length < deep:
                    # The runner opens its upper end.
                    deep = own[0].length
                assert own[0].length == pytest.approx(deep, abs=slack), row
            else:
                missing.add(row["kind"])
        file = next(it for it in report["step_files"] if it["file"] == f"{half}.step")
        if file["true_round_holes"] == file["round_holes"]:
            assert missing <= {"sprue"}
        assert len(walls) >= file["true_round_holes"] - sum(it.lean > 0 for it in read[half].rounds)


def test_holes_of_the_plug_are_true_cylinders(tmp_path):
    """All but the sprue and the well, which the runner cuts open."""
    done = goodshot("mold", PLUG, "--out", tmp_path, "--json", "--no-fill", "--unit", "mm")
    report = json.loads(done.stdout)
    read = {half: cad.read(tmp_path / f"bar_end_plug/mold/{half}.step") for half in HALVES}
    for half in HALVES:
        kinds = [row["kind"] for row in report["drill"] if row["half"] == half and row["end_mm"] is None and row["kind"] != "pry slot"]
        assert len(read[half].rounds) == sum(kind not in MEETS_THE_RUNNER for kind in kinds)


def test_level_floors_have_the_area_of_the_faces_there(steps):
    report, folder, _, read = steps
    pull = np.array(report["pull"])
    for half in HALVES:
        drawing = ezdxf.readfile(folder / f"{half}_levels.dxf")
        assert not drawing.audit().errors
        assert (drawing.header["$INSUNITS"], drawing.header["$MEASUREMENT"]) == (4, 1)
        # Toward the spindle: out of the half, through its parting face.
        up = pull * (-1 if (report["core_side"] == "+") == (half == "core") else 1)
        level = {}
        for face in read[half].flats:
            if np.dot(face.normal, up) > 1 - 1e-9:
                height = round(np.dot(np.array(face.at) - report["axes"]["datum_mm"], up), 2) + 0.0
                level[height] = level.get(height, 0) + face.area
        names = {line.dxf.layer for line in drawing.modelspace() if re.match("DEPTH|HEIGHT", line.dxf.layer)}
        assert names
        for name in names:
            kind, value = name.split("_")
            height = float(value) * (-1 if kind == "DEPTH" else 1) + 0.0
            rings = []
            for it in drawing.modelspace().query(f'*[layer=="{name}"]'):
                if it.dxftype() == "CIRCLE":
                    rings.append(shapely.Point(it.dxf.center.x, it.dxf.center.y).buffer(it.dxf.radius, quad_segs=64))
                else:
                    rings.append(shapely.Polygon([(v.dxf.location.x, v.dxf.location.y) for v in it.vertices]))
            rings.sort(key=lambda ring: -ring.area)
            area = sum(ring.area * (-1) ** sum(big.contains(ring.representative_point()) for big in rings[:i])
                       for i, ring in enumerate(rings))
            # Floors of drilled holes are no floors to mill.
            drilled = sum(math.pi * row["width_mm"]**2 / 4 for row in report["drill"] if row["half"] == half and not row["end_mm"])
            assert area <= level[height] * 1.002 + 0.01 and area >= level[height] * 0.998 - drilled - 0.01, name


def test_vents_end_where_the_block_does(steps):
    report, folder, *_ = steps
    for half in HALVES:
        drawing = ezdxf.readfile(folder / f"{half}_levels.dxf").modelspace()
        outlines = {layer: [shapely.Polygon([(v.dxf.location.x, v.dxf.location.y) for v in line.vertices])
                            for line in drawing.query(f'POLYLINE[layer=="{layer}"]')] for layer in ("OUTLINE", "VENTS")}
        block = max(outlines["OUTLINE"], key=lambda it: it.area)
        reliefs = sum(row["half"] == half and row["kind"] == "vent relief" for row in report["drill"])
        at_the_wall = [vent for vent in outlines["VENTS"] if vent.intersection(block.exterior.buffer(1e-5)).length > 1]
        assert all(block.buffer(1e-5).contains(vent) for vent in outlines["VENTS"])
        assert len(at_the_wall) == reliefs


def test_on_the_mill_each_half_lies_at_its_datum(tmp_path):
    done = goodshot("mold", PLUG, "--out", tmp_path, "--json", "--no-fill", "--unit", "mm", "--milling-pose")
    report, folder = json.loads(done.stdout), tmp_path / "bar_end_plug/mold"
    assert report["pose"] == "milling"
    x, y, _ = report["size_mm"]
    for half in HALVES:
        mesh, solid = outside.read(folder / f"{half}.stl"), cad.read(folder / f"{half}.step")
        mirrored = (report["core_side"] == "+") == (half == "core")
        low, high = mesh.bounds
        assert [low[0], high[0], low[1], high[1]] == pytest.approx([-x, 0, 0, y] if mirrored else [0, x, 0, y], abs=1e-4)
        assert low[2] == pytest.approx(-report["plates_mm"][half], abs=1e-4) and mesh.volume > 0
        assert solid.valid and mesh.volume == pytest.approx(report["volumes_mm3"][half], rel=1e-6)
        for row in report["drill"]:
            if row["half"] == half and row["kind"].startswith(("bolt", "dowel")):
                near = [it for it in solid.rounds if math.dist(it.at[:2], (row["x_mm"], row["y_mm"])) < 1e-6]
                assert [2 * it.radius for it in near] == pytest.approx([row["width_mm"]], abs=1e-6)
                assert abs(near[0].axis[2]) == pytest.approx(1, abs=1e-9)
