"""Makes the demo parts with a CAD kernel, and writes what the kernel knows of them.

    pip install -r models/requirements.txt
    python models/make.py                      # the STL files and reference.json, in this folder
    python models/make.py --chord 0.0002 --angle 0.02 --out DIR --only bar_end_plug     # 0.9 million facets

A bicycle workshop molds these for itself. Each part is one closed solid in millimeters, pulled along z.
`reference.json` holds the exact volume, area, centroid and box of the solid, not of its facets, and the
place and size of every feature that a check should find.
"""

import argparse
import json
import math
import pathlib
import struct

import cadquery as cq
import numpy as np
import OCP
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepMesh import BRepMesh_IncrementalMesh

HERE = pathlib.Path(__file__).resolve().parent


def run_out(height, degrees):
    """How far a wall leans over a height."""
    return height * math.tan(math.radians(degrees))


def bar_end_plug():
    """A cup with a flange: the pocket makes the outside, one tapered peg the inside, parting on the flange's top."""
    draft, wall, flange = 3.5, 2.7, 2.8
    height, head, shank, lead_in = 20.0, 15.0, 9.3, 4.0
    across = wall / math.cos(math.radians(draft))       # the same wall, measured level
    foot = shank - run_out(height - flange, draft)
    mouth = shank + run_out(flange, draft) - across
    floor = mouth - run_out(height - wall, draft)
    rim = head - run_out(flange, draft)
    half = (
        cq.Workplane("XZ")
        .polyline([(0, 0), (foot, 0), (shank, height - flange), (rim, height - flange), (head, height),
                   (mouth, height), (floor, wall), (0, wall)])
        .close()
    )
    part = half.revolve(360, (0, 0, 0), (0, 1, 0))

    def edge(solid, radius, z):
        edges = [e for e in solid.edges("%CIRCLE").vals()
                 if abs(e.Center().z - z) < 0.05 and abs(e.radius() - radius) < 0.05]
        assert len(edges) == 1, (radius, z, len(edges))
        return solid.newObject(edges)

    def round_off(solid, radius, z, by):
        return edge(solid, radius, z).fillet(by)

    def bevel(solid, radius, z, by):
        return edge(solid, radius, z).chamfer(by)

    part = round_off(part, foot, 0, lead_in)
    part = round_off(part, floor, wall, lead_in - wall)
    part = round_off(part, shank, height - flange, 0.8)
    part = bevel(part, rim, height - flange, 0.8)
    part = bevel(part, mouth, height, 0.6)
    return part, {
        "pull": [0, 0, 1],
        "parting": {"flat": True, "z_mm": height},
        "undercut_mm3": 0.0,
        "wall_mm": {"shank": wall, "floor": wall, "flange": flange},
        "draft_deg": {"shank_outside": draft, "shank_inside": draft, "flange_rim": draft},
        "standing_height_mm": {"shank_outside": height - flange, "shank_inside": height - wall, "flange_rim": flange},
        "projected_area_mm2": math.pi * head**2,
    }


def cable_clip():
    """A channel for a 6 mm cable on a screwed foot; one arm ends in a snap hook that no half can leave."""
    width, foot_long, foot = 14.0, 30.0, 2.6
    wall, draft, hook, catch_z, top = 2.2, 1.5, 1.2, 9.0, 12.5
    gap = 6.4
    arm = top - foot
    lean = run_out(arm, draft)

    def profile(points):
        return cq.Workplane("XZ", origin=(0, width / 2, 0)).polyline(points).close().extrude(width)

    left, right = -gap / 2, gap / 2
    body = (cq.Workplane("XY").box(foot_long, width, foot, centered=(False, True, False))
            .translate((-foot_long / 3, 0, 0)))
    body = body.edges("|Z").fillet(3.0)
    stop = profile([(left - wall, 0), (left, 0), (left - lean, top), (left - wall + 0.1, top)])
    snap = profile([(right, 0), (right + wall, 0), (right + wall - lean / 2, top), (right + 0.4, top),
                    (right - hook, catch_z + 0.6), (right - hook, catch_z), (right, catch_z)])
    part = body.union(stop).union(snap)
    inner = [e for e in part.edges("|Y").vals()
             if abs(e.Center().z - foot) < 0.01 and abs(abs(e.Center().x) - gap / 2) < 0.3 + wall]
    part = part.newObject(inner).fillet(0.6)
    tops = [e for e in part.edges("|Y").vals() if abs(e.Center().z - top) < 0.01]
    part = part.newObject(tops).fillet(0.35)
    hole_x, hole = 13.0, 2.2
    screw = cq.Workplane("XY").center(hole_x, 0).circle(hole).extrude(foot)
    sink = cq.Workplane("XY", origin=(hole_x, 0, foot)).circle(hole + 1.8).workplane(offset=-1.8).circle(hole).loft()
    part = part.cut(screw).cut(sink)
    return part, {
        "pull": [0, 0, 1],
        "hook": {"depth_mm": hook, "width_mm": width, "catch_area_mm2": hook * width,
                 "at_mm": [right - hook / 2, 0, catch_z]},
        "draft_deg": {"stop_inside": draft, "sides": 0.0},
        "wall_mm": {"foot": foot, "arms_at_the_foot": wall},
        "screw_hole": {"radius_mm": hole, "along": [0, 0, 1], "at_mm": [hole_x, 0, 0]},
    }


def lamp_bracket():
    """Carries a lamp on a seat post. Molded as drawn it goes wrong in four ways, listed under its features."""
    draft = 2.0
    plate_long, plate_wide, plate = 54.0, 40.0, 3.2
    arm_wall, top = 3.2, 36.0
    ring_z, ring_high, bore, ring_wall, bore_draft = 18.0, 18.0, 13.6, 3.4, 1.0
    lip, lip_high = 1.0, 8.0
    ring_x = 19.0
    outline = (cq.Workplane("XY").box(plate_long, plate_wide, plate, centered=(False, True, False))
               .translate((-plate_long, 0, 0)).edges("|Z and <X").fillet(9.0))
    base = outline.faces("<Z").wires().toPending().extrude(plate, taper=draft)

    # The arm leans outward by the draft on both faces, so the wall stays even and the outside frees downward.
    lean = run_out(top, draft)
    side = (cq.Workplane("XZ", origin=(0, 30, 0))
            .polyline([(-arm_wall, 0), (0, 0), (lean, top), (lean - arm_wall, top)]).close().extrude(60))
    front = (cq.Workplane("YZ", origin=(-10, 0, 0))
             .polyline([(-20, 0), (20, 0), (20 - run_out(plate, draft), plate), (12, 21), (12 - run_out(15, draft), top),
                        (-12 + run_out(15, draft), top), (-12, 21), (-20 + run_out(plate, draft), plate)])
             .close().extrude(30))
    arm = side.intersect(front)

    def cone(radius, taper, x=ring_x):
        return cq.Workplane("XY", origin=(x, 0, ring_z)).circle(radius).extrude(ring_high, taper=taper)

    ring = cone(bore + ring_wall, draft)
    lump = (cq.Workplane("XY", origin=(0, 0, ring_z)).center(4.2, 0).rect(9.6, 21).extrude(ring_high, taper=draft))
    ears = (cq.Workplane("XY", origin=(ring_x + bore + 7.0, 0, ring_z))
            .placeSketch(cq.Sketch().rect(16.0, 12.4).vertices(">X").fillet(1.6)).extrude(ring_high, taper=draft))
    slot = (cq.Workplane("XY", origin=(ring_x + bore + 10.0, 0, ring_z)).rect(30.0, 3.0).extrude(ring_high, taper=-draft))

    body = base.union(arm)
    root = [e for e in body.edges("|Y").vals() if abs(e.Center().z - plate) < 0.01 and e.Center().x > -arm_wall - 0.5]
    body = body.newObject(root).fillet(1.5)

    rib, rib_y, rib_long, rib_high = 2.4, 8.0, 26.0, 24.0
    gussets = [
        cq.Workplane("XZ", origin=(0, y + rib / 2, 0))
        .polyline([(-0.5, 1.0), (-arm_wall - rib_long, 1.0), (-arm_wall - rib_long, plate + 0.6),
                   (-arm_wall - 3.0, plate + rib_high), (-0.5, plate + rib_high)]).close().extrude(rib)
        for y in (-rib_y, rib_y)
    ]
    guard = (cq.Workplane("XZ", origin=(0, 11.0, 0))
             .polyline([(-plate_long + 3.0, 1.0), (-plate_long + 3.0 + lip, 1.0),
                        (-plate_long + 3.0 + lip, plate + lip_high), (-plate_long + 3.0, plate + lip_high)])
             .close().extrude(22.0).edges("|X and >Z").fillet(3.0))
    for solid in (*gussets, guard, lump, ring, ears):
        body = body.union(solid)
    body = body.cut(cone(bore, -bore_draft)).cut(slot)

    hole, hole_x, hole_y = 2.7, -41.0, 12.5
    for y in (-hole_y, hole_y):
        boss = cq.Workplane("XY", origin=(hole_x, y, plate - 0.5)).circle(5.2).extrude(2.1, taper=draft)
        body = body.union(boss)
        body = body.cut(cq.Workplane("XY", origin=(hole_x, y, -1)).circle(hole).extrude(20))

    before = body.val().Volume()
    ear_x, ear_z, screw = ring_x + bore + 9.4, ring_z + ring_high / 2, 2.25
    body = body.cut(cq.Workplane("XZ", origin=(ear_x, 20, ear_z)).circle(screw).extrude(40))
    trapped = before - body.val().Volume()
    half = ring_high / 2
    across = 12.4 - 3.0 - 4 * run_out(half, draft)      # both ears, at the height of the screw
    return body, {
        "pull": [0, 0, 1],
        "side_hole": {"radius_mm": screw, "along": [0, 1, 0], "at_mm": [ear_x, 0, ear_z],
                      "wall_mm": across, "trapped_mm3": math.pi * screw**2 * across, "trapped_by_kernel_mm3": trapped},
        "thin_wall": {"wall_mm": lip, "height_mm": lip_high, "at_mm": [-plate_long + 3.0 + lip / 2, 0, plate + lip_high / 2],
                      "draft_deg": 0.0},
        "thick_lump": {"at_mm": [3.4, 0, ring_z + half], "box_mm": [9.6, 21.0, ring_high]},
        "zero_draft_ribs": {"wall_mm": rib, "height_mm": rib_high, "y_mm": [-rib_y, rib_y], "draft_deg": 0.0},
        "draft_deg": {"plate": draft, "arm": draft, "ring_outside": draft, "ring_bore": bore_draft},
        "wall_mm": {"plate": plate, "arm": arm_wall * math.cos(math.radians(draft))},
    }


# Each part with the chord error, mm, and the turn from facet to facet, rad, that keep its file small.
PARTS = {
    "bar_end_plug": (bar_end_plug, 0.02, 0.25),
    "cable_clip": (cable_clip, 0.01, 0.12),
    "lamp_bracket": (lamp_bracket, 0.01, 0.12),
}


def facets(solid, chord, angle):
    """The kernel's triangles, in the precision of an STL file, without those that this precision flattens."""
    BRepMesh_IncrementalMesh(solid.wrapped, chord, False, angle, False)     # chord in mm, not a share of each edge
    points, triples = solid.tessellate(chord, angle)
    corners = np.array([p.toTuple() for p in points], dtype="<f4")[np.array(triples)]
    same = (corners == np.roll(corners, 1, axis=1)).all(axis=2).any(axis=1)
    return corners[~same]


def write_stl(path, corners):
    """Binary STL: 80 bytes of header, a count, fifty bytes a facet."""
    wide = corners.astype(float)
    normals = np.cross(wide[:, 1] - wide[:, 0], wide[:, 2] - wide[:, 0])
    normals /= np.linalg.norm(normals, axis=1, keepdims=True)
    record = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    record["normal"], record["corners"] = normals, corners
    path.write_bytes(b"goodshot demo part, mm".ljust(80) + struct.pack("<I", len(corners)) + record.tobytes())


def kernel_values(solid):
    """Mass and box of the exact solid."""
    box, center = Bnd_Box(), solid.Center()
    BRepBndLib.AddOptimal_s(solid.wrapped, box, False, False)
    box.SetGap(0.0)
    low, high = box.CornerMin(), box.CornerMax()
    return {
        "volume_mm3": solid.Volume(),
        "area_mm2": solid.Area(),
        "centroid_mm": [center.x, center.y, center.z],
        "bounding_box_mm": {"min": [low.X(), low.Y(), low.Z()], "max": [high.X(), high.Y(), high.Z()]},
    }


def rounded(value):
    """Nine significant digits: the kernel's last ones differ from machine to machine."""
    if isinstance(value, dict):
        return {k: rounded(v) for k, v in value.items()}
    if isinstance(value, list):
        return [rounded(v) for v in value]
    if isinstance(value, float):
        short = float(f"{value:.9g}")
        return 0.0 if abs(short) < 1e-9 else short
    return value


def main():
    ask = argparse.ArgumentParser(description="Make the demo parts.")
    ask.add_argument("--chord", type=float, help="chord error, mm, instead of each part's own")
    ask.add_argument("--angle", type=float, help="turn from facet to facet, rad, instead of each part's own")
    ask.add_argument("--out", type=pathlib.Path, default=HERE)
    ask.add_argument("--only", choices=PARTS, action="append")
    asked = ask.parse_args()
    asked.out.mkdir(parents=True, exist_ok=True)
    reference = {"_meta": {
        "kernel": f"Open CASCADE through CadQuery {cq.__version__} (cadquery-ocp {OCP.__version__})",
        "brep": "values of the exact solid; the facets differ by what the chord error explains",
    }}
    for name in asked.only or PARTS:
        make, chord, angle = PARTS[name]
        chord, angle = asked.chord or chord, asked.angle or angle
        part, features = make()
        solids = part.solids().vals()
        assert len(solids) == 1 and solids[0].isValid(), f"{name} is not one valid solid"
        corners = facets(solids[0], chord, angle)
        write_stl(asked.out / f"{name}.stl", corners)
        reference[name] = {"facets": len(corners), "chord_mm": chord, "angle_rad": angle,
                           "brep": kernel_values(solids[0]), "features": features}
        print(f"{name}: {len(corners)} facets, {reference[name]['brep']['volume_mm3']:.1f} mm3")
    if not asked.only:
        (asked.out / "reference.json").write_text(json.dumps(rounded(reference), indent=1) + "\n")


if __name__ == "__main__":
    main()
