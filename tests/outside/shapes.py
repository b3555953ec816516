"""Solids made by other libraries, and the same solid posed, shuffled and cut finer."""

import numpy as np
import trimesh
from manifold3d import CrossSection, Manifold


def taken(solid):
    mesh = solid.to_mesh()
    return trimesh.Trimesh(np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts), process=False)


def cylinder(height, low, high=-1.0, segments=64):
    return Manifold.cylinder(height, low, high, circular_segments=segments)


def cup(hole=False):
    """A drafted cup, floor 2.5 and wall about 2.5 mm; with a hole of 3 mm radius through one wall."""
    solid = cylinder(30, 15, 16.5) - cylinder(30, 12.5, 14).translate((0, 0, 2.5))
    if hole:
        solid -= cylinder(20, 3).rotate((0, 90, 0)).translate((5, 0, 15))
    return taken(solid)


def bracket():
    """Two plates at a right angle."""
    return taken(Manifold.cube((40, 20, 3)) + Manifold.cube((3, 20, 30)))


def torus():
    return taken(CrossSection.circle(4, 48).translate((14, 0)).revolve(96))


def hollow():
    """A cube with a closed void in it."""
    return taken(Manifold.cube((30, 30, 30), True) - Manifold.cube((20, 16, 12), True))


def two():
    return taken(Manifold.cube((10, 10, 10)) + Manifold.cube((8, 8, 8)).translate((20, 0, 0)))


def random_solid(seed):
    """A block with eight boxes and cylinders added or taken away at random places and turns."""
    draw = np.random.default_rng(seed)
    solid = Manifold.cube((40, 30, 20), True)
    for k in range(8):
        size = draw.uniform(6, 18, 3)
        tool = Manifold.cube(tuple(size), True) if k % 2 else Manifold.cylinder(size[0], size[1] / 2, size[2] / 2, 32, True)
        tool = tool.rotate(tuple(draw.uniform(0, 180, 3))).translate(tuple(draw.uniform(-1, 1, 3) * (18, 13, 9)))
        solid = solid + tool if draw.random() < 0.5 else solid - tool
    return taken(solid)


SHAPES = {
    "box": lambda: trimesh.creation.box((40, 30, 20)),
    "ball": lambda: trimesh.creation.icosphere(3, 10.0),
    "torus": torus,
    "cup": cup,
    "cup_with_side_hole": lambda: cup(hole=True),
    "bracket": bracket,
    "hollow": hollow,
    "two": two,
} | {f"random_{seed}": (lambda seed=seed: random_solid(seed)) for seed in range(4)}


def moved(mesh):
    """Ten meters away."""
    return trimesh.Trimesh(mesh.vertices + (10_000.0, -10_000.0, 10_000.0), mesh.faces, process=False)


def turned(mesh):
    turn = trimesh.transformations.rotation_matrix(0.7, (0.3, -0.5, 0.8))[:3, :3]
    return trimesh.Trimesh(mesh.vertices @ turn.T, mesh.faces, process=False)


def cycled(mesh):
    """x becomes y, y becomes z, z becomes x: what was +z is now +x."""
    return trimesh.Trimesh(mesh.vertices[:, [2, 0, 1]], mesh.faces, process=False)


def shuffled(mesh):
    draw = np.random.default_rng(3)
    faces = mesh.faces[draw.permutation(len(mesh.faces))]
    first = draw.integers(0, 3, len(faces))
    return trimesh.Trimesh(mesh.vertices, faces[np.arange(len(faces))[:, None], (first[:, None] + np.arange(3)) % 3],
                           process=False)


def finer(mesh):
    """Each facet cut into sixteen."""
    return mesh.subdivide().subdivide()


POSES = {"moved": moved, "turned": turned, "cycled": cycled, "shuffled": shuffled, "finer": finer}


