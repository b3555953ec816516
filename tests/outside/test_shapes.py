"""Measures against other libraries, on solids that they made."""

import numpy as np
import pytest

import outside
import shapes

CASES = [(name, None) for name in shapes.SHAPES]
CASES += [(name, pose) for name in ("cup_with_side_hole", "random_1", "bracket") for pose in shapes.POSES]


@pytest.fixture(scope="session")
def written(tmp_path_factory):
    """The STL file of a shape in a pose; made once."""
    folder, seen = tmp_path_factory.mktemp("shapes"), {}

    def write(name, pose):
        if (name, pose) not in seen:
            mesh = shapes.SHAPES[name]()
            mesh = shapes.POSES[pose](mesh) if pose else mesh
            path = folder / f"{name}_{pose or 'plain'}.stl"
            mesh.export(path)
            seen[name, pose] = path, "+x" if pose == "cycled" else "+z"
        return seen[name, pose]

    return write


@pytest.fixture(params=CASES, ids=lambda case: "-".join(filter(None, case)))
def case(request, written, checked):
    """A shape as trimesh reads it, its pull, and goodshot's report on it."""
    path, pull = written(*request.param)
    return outside.read(path), pull, checked(path, pull=pull).report


def test_volume_area_and_centroid_agree(case):
    mesh, _, report = case
    volume, area, centroid = outside.mass(mesh)
    part = report["part"]
    assert part["volume_mm3"] == pytest.approx(volume, rel=1e-6)
    assert part["area_mm2"] == pytest.approx(area, rel=1e-6)
    assert part["centroid_mm"] == pytest.approx(centroid, abs=1e-6 * np.linalg.norm(mesh.extents))
    assert part["bounding_box_mm"]["min"] == pytest.approx(mesh.bounds[0], abs=1e-6)
    assert part["bounding_box_mm"]["max"] == pytest.approx(mesh.bounds[1], abs=1e-6)
    near = mesh.copy()
    near.apply_translation(-mesh.bounds.mean(axis=0))
    assert part["volume_mm3"] == pytest.approx(near.volume, rel=1e-6)
    solid = outside.as_manifold(mesh)
    if solid is not None:
        assert part["volume_mm3"] == pytest.approx(solid.volume(), rel=1e-6)
        assert part["area_mm2"] == pytest.approx(solid.surface_area(), rel=1e-6)


def test_the_file_is_read_as_trimesh_reads_it(case):
    mesh, _, report = case
    assert report["part"]["closed"] is mesh.is_watertight
    assert report["part"]["bodies"] == mesh.body_count
    assert report["part"]["facets"] == len(mesh.faces)
    assert (report["part"]["unit"], report["part"]["unit_given"]) == ("mm", True)


def test_projected_area_is_the_union_of_the_facets(case):
    mesh, pull, report = case
    area = report["pull"]["projected_area_mm2"]
    assert area == pytest.approx(outside.projected_area(mesh, pull), rel=1e-6)
    solid = outside.as_manifold(mesh)
    if pull == "+z" and solid is not None:
        assert area == pytest.approx(solid.project().area(), rel=1e-6)
    assert report["pull"]["height_mm"] == pytest.approx(mesh.extents[outside.AXES[pull]], rel=1e-6)
    assert np.abs(report["pull"]["direction"]) == pytest.approx(np.eye(3)[outside.AXES[pull]], abs=1e-9)


def test_undercut_is_what_sees_neither_half(case):
    mesh, pull, report = case
    share = report["undercut"]["area_mm2"] / report["part"]["area_mm2"]
    assert share == pytest.approx(outside.trapped_share(mesh, outside.axis(pull)), abs=0.02)


def test_ray_thickness_agrees(case):
    mesh, _, report = case
    ordered = outside.ray_thickness(mesh)
    ray = report["thickness"]["ray_mm"]
    for share, key in ((0.05, "p05"), (0.5, "p50"), (0.95, "p95")):
        assert outside.near_quantile(ray[key], ordered, share), (key, ray[key], np.quantile(ordered, share))


@pytest.mark.parametrize("pose", [p for p in shapes.POSES if p != "turned"])
@pytest.mark.parametrize("name", ["cup_with_side_hole", "random_1", "bracket"])
def test_the_pose_and_the_facets_do_not_change_the_answer(name, pose, written, checked):
    plain, posed = (checked(path, pull=pull).report for path, pull in (written(name, None), written(name, pose)))
    loss = 1e-3 if pose == "moved" else 1e-6            # single precision, ten meters away, is a micrometer
    for room, key in (("part", "volume_mm3"), ("part", "area_mm2"), ("pull", "projected_area_mm2")):
        assert posed[room][key] == pytest.approx(plain[room][key], rel=loss)
    assert posed["undercut"]["area_mm2"] == pytest.approx(plain["undercut"]["area_mm2"],
                                                          abs=0.01 * plain["part"]["area_mm2"])


def test_brute_force_agrees_with_trimesh_ray_by_ray():
    """The reference itself: rays by the numpy loop and by trimesh."""
    mesh = shapes.cup(hole=True)
    points, normals = outside.spread(mesh, 300)
    starts = points - 1e-4 * normals
    ours = outside.first_hits(mesh, starts, -normals)
    where, ray, _ = mesh.ray.intersects_location(starts, -normals, multiple_hits=False)
    theirs = np.full(len(starts), np.inf)
    theirs[ray] = np.linalg.norm(where - starts[ray], axis=1)
    # A ray through the edge between two facets may pass either library by.
    assert np.isclose(ours, theirs, rtol=1e-6, atol=1e-6).mean() > 0.99
