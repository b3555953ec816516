"""Programs for the mill, read by a general-purpose reader of G-code and swept as solids by another kernel.

What controllers share of RS-274: T. Kramer, F. Proctor, E. Messina, The NIST RS274NGC Interpreter, Version 3, NISTIR 6556, 2000.
"""

import csv
import dataclasses
import json
import math
import pathlib

import manifold3d
import numpy as np
import pytest
from gcodeparser import parse_gcode_lines

import outside
from conftest import PARTS, ROOT, goodshot

# Plane, units, no compensation of radius and length, zero, no canned cycle, absolute places, feed a minute; straight moves.
G_CODES = {0, 1, 17, 21, 40, 49, 54, 80, 90, 94}
M_CODES = {3, 5, 30}
BEFORE_A_MOVE = {17, 21, 40, 49, 54, 80, 90, 94}
CHARACTERS = 70  # a line in the buffer of a small controller
PLACE = 1.1e-3   # mm: three decimals
GOUGE = 0.03     # mm: what a program may cut into the finished half
SIDES = 32
SHORT = 1.0      # mm: pieces of an arc go together up to this chord
HOLES = ("drill", "spot", "ream")


@dataclasses.dataclass
class Move:
    fast: bool
    start: np.ndarray
    end: np.ndarray
    feed: float


def cases():
    parts = [(ROOT / "models/bar_end_plug.stl", "mm")]
    if PARTS:
        folder = pathlib.Path(PARTS)
        parts += [(folder / f"{name}.stl", "mm") for name in ("wedge_1_4", "gear_hinges", "tm_tray_bottom")]
    return parts


@pytest.fixture(scope="module", params=cases(), ids=lambda case: case[0].stem)
def mold(request, tmp_path_factory):
    path, unit = request.param
    out = tmp_path_factory.mktemp("gcode")
    done = goodshot("mold", path, "--out", out, "--json", "--no-fill", "--anyway", "--unit", unit, "--gcode", "--milling-pose")
    assert done.returncode in (0, 1, 3), done.stderr
    folder = out / path.stem / "mold"
    rows = list(csv.DictReader((folder / "drill.csv").open()))
    return json.loads(done.stdout), folder, {int(row["number"]): row for row in rows}


def read(path):
    """Every move of a file; what no small controller would take fails here."""
    text = path.read_text("ascii")
    lines = text.splitlines()
    assert all(len(line) <= CHARACTERS for line in lines)
    # A comment is a line of its own; the reader knows no parentheses.
    code = [line for line in lines if not (line.startswith("(") and line.endswith(")") and line.count("(") == line.count(")") == 1)]
    assert not any(sign in line for line in code for sign in "();%")
    seen, spindle, feed, at, moves = set(), False, None, np.full(3, np.nan), []
    parsed = list(parse_gcode_lines("\n".join(code)))
    # Without letters the reader took out something it did not know.
    assert sum(len(it.params) + 1 for it in parsed) == sum(len(line.split()) for line in code)
    for it in parsed:
        letter, number = it.command
        assert number in (G_CODES if letter == "G" else M_CODES), it
        if letter == "M":
            if number == 3:
                assert it.params["S"] > 0
            spindle = number == 3
            continue
        if number not in (0, 1):
            seen.add(number)
            continue
        assert seen == BEFORE_A_MOVE
        feed = it.params.get("F", feed)
        end = np.array([it.params.get(axis, old) for axis, old in zip("XYZ", at)], dtype=float)
        if number == 1:
            assert spindle and feed is not None and feed > 0
        moves.append(Move(number == 0, at, end, feed))
        at = end
    assert [it.command for it in parsed[-2:]] == [("M", 5), ("M", 30)]
    return moves


def programs(mold):
    report, folder, rows = mold
    return [(it, read(folder / it["file"]), rows) for it in report["programs"]]


def test_each_file_belongs_to_a_step_of_a_sheet(mold):
    report, folder, _ = mold
    files = {path.name for path in folder.glob("*.nc")}
    assert files and files == {it["file"] for it in report["programs"]}
    steps = {(sheet["half"], step["program"]) for sheet in report["sheets"] for step in sheet["steps"] if step["program"]}
    assert steps == {(it["half"], it["file"]) for it in report["programs"]}
    assert all((step["program"] is None) != (step["no_program"] is None) for sheet in report["sheets"] for step in sheet["steps"])
    for it in report["programs"]:
        head = (folder / it["file"]).read_text("ascii").split("G17")[0]
        for caution in ("ABOVE THE WORK", "EYE PROTECTION", "STOP", "ZERO", "LOCAL CODES"):
            assert caution in head, it["file"]


def test_the_tool_is_fast_only_above_the_work_and_in_its_own_holes(mold):
    for it, moves, _ in programs(mold):
        safe, reached = it["rapid_height_mm"], {}
        assert moves[0].fast and moves[0].end[2] == pytest.approx(safe) and np.isnan(moves[0].end[:2]).all()
        for move in moves[1:]:
            key = tuple(move.end[:2])
            if not move.fast:
                reached[key] = min(reached.get(key, math.inf), move.end[2])
            elif min(move.start[2], move.end[2]) < safe - PLACE:
                assert key == tuple(move.start[:2]), it["file"]
                assert move.end[2] > move.start[2] or move.end[2] >= reached[key], it["file"]
        assert moves[-1].end[2] == pytest.approx(safe)
        assert min(move.end[2] for move in moves) == pytest.approx(it["lowest_mm"], abs=PLACE)


def test_holes_lie_where_the_drill_table_has_them(mold):
    found = 0
    for it, moves, rows in programs(mold):
        if not any(f"_{word}" in it["file"] for word in HOLES):
            continue
        mirror = -1 if it["up"] == "outer" else 1
        made = {tuple(move.end[:2]) for move in moves if not move.fast}
        table = {(mirror * float(rows[n]["x_mm"]), float(rows[n]["y_mm"])) for n in it["rows"]}
        assert len(made) == len(table), it["file"]
        for at in table:
            assert min(math.dist(at, own) for own in made) <= PLACE, it["file"]
        found += len(table)
    assert found >= 10


def test_drills_go_as_deep_as_the_table_says(mold):
    report, _, _ = mold
    found = 0
    for it, moves, rows in programs(mold):
        if "_drill_" not in it["file"] or it["up"] != "parting":
            continue
        # d / 2 / tan 59°: the tip of a drill of 118°.
        tip = it["diameter_mm"] / 2 / math.tan(math.radians(59))
        plate = report["plates_mm"][it["half"]]
        for number in it["rows"]:
            row = rows[number]
            at = [float(row["x_mm"]), float(row["y_mm"])]
            lowest = min(move.end[2] for move in moves[1:] if math.dist(move.end[:2], at) < 2 * PLACE)
            if row["through"] == "yes":
                assert lowest == pytest.approx(-plate - tip - 0.5, abs=2 * PLACE), row
            elif row["kind"] in ("bolt thread", "dowel, press fit", "dowel, sliding fit"):
                # They begin on flat land at the height of the parting.
                assert lowest == pytest.approx(-float(row["depth_mm"]) - tip, abs=2 * PLACE), row
                found += 1
    assert found >= 4


def rounds(radius, low, high):
    """A cylinder inside the circle, between two heights."""
    return manifold3d.Manifold.cylinder(high - low, radius, radius, SIDES).translate([0, 0, low])


def tool(it):
    """The tool with its tip at zero, smaller and shorter by what a program may cut too much; of a drill what is above its tip."""
    radius, long = it["diameter_mm"] / 2 - GOUGE, it["stick_out_mm"] + 30
    kind = it["file"].removesuffix(".nc").split("_")[2]
    if kind == "ball":
        ball = manifold3d.Manifold.sphere(radius, SIDES).translate([0, 0, it["diameter_mm"] / 2])
        return ball + rounds(radius, it["diameter_mm"] / 2, long)
    if kind == "spot":
        return manifold3d.Manifold.cylinder(radius, 0.01, radius, SIDES).translate([0, 0, GOUGE]) + rounds(radius, radius + GOUGE, long)
    tip = it["diameter_mm"] / 2 / math.tan(math.radians(59)) if kind == "drill" else 0
    return rounds(radius, tip + GOUGE, long)


def test_no_program_cuts_into_the_finished_half(mold):
    """All that a tool sweeps at a feed, hull by hull, against the half as it is drawn."""
    report, folder, _ = mold
    solids = {name: outside.as_manifold(outside.read(folder / f"{name}.stl"), middle=False) for name in ("cavity", "core")}
    cut = 0
    for it, moves, _ in programs(mold):
        half = solids[it["half"]]
        if it["up"] == "outer":
            half = half.rotate([0, 180, 0]).translate([0, 0, -report["plates_mm"][it["half"]]])
        # Every tool here is convex, so a straight move sweeps the hull of both its ends.
        own = tool(it)
        swept, start = [], None
        for move, then in zip(moves[1:], moves[2:] + [None]):
            if move.fast or np.isnan(move.start).any():
                continue
            start = move.start if start is None else start
            if then is not None and not then.fast and np.linalg.norm(then.end - start) < SHORT:
                continue
            swept.append(manifold3d.Manifold.batch_hull([own.translate(list(at)) for at in (start, move.end)]))
            start = None
        for first in range(0, len(swept), 200):
            all_of_it = manifold3d.Manifold.batch_boolean(swept[first:first + 200], manifold3d.OpType.Add)
            assert (all_of_it ^ half).volume() < 1e-2, it["file"]
            cut += 1
    assert cut >= len(report["programs"])
