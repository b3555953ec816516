"""The same questions, answered without goodshot: 64-bit sums, polygon unions, brute-force rays."""

import manifold3d
import numpy as np
import shapely
import trimesh

AXES = {"+x": 0, "+y": 1, "+z": 2}


def read(path):
    """The file as trimesh reads it, equal corners merged; turned where it is inside out."""
    mesh = trimesh.load_mesh(path)
    if mesh.is_watertight and mesh.volume < 0:
        mesh.invert()
    return mesh


def mass(mesh):
    """Volume, area and centroid, summed in 64 bits about the middle of the part."""
    middle = mesh.bounds.mean(axis=0)
    a, b, c = np.moveaxis(mesh.triangles - middle, 1, 0)
    across = np.cross(b - a, c - a)
    share = np.einsum("ij,ij->i", a, across) / 6
    centroid = ((a + b + c) / 4 * share[:, None]).sum(axis=0) / share.sum() + middle
    return share.sum(), np.linalg.norm(across, axis=1).sum() / 2, centroid


def as_manifold(mesh, middle=True):
    """The mesh as manifold3d takes it, about its middle or as it lies; None where that library refuses it."""
    points = (mesh.vertices - (mesh.bounds.mean(axis=0) if middle else 0)).astype(np.float64)
    solid = manifold3d.Manifold(manifold3d.Mesh64(vert_properties=points, tri_verts=mesh.faces.astype(np.uint64)))
    return solid if solid.status() == manifold3d.Error.NoError else None


def united(mesh):
    """The union of the bodies of a mesh, each of which is sound by itself."""
    bodies = [as_manifold(body, middle=False) for body in mesh.split(only_watertight=False)]
    whole = manifold3d.Manifold.batch_boolean(bodies, manifold3d.OpType.Add).to_mesh64()
    return trimesh.Trimesh(whole.vert_properties[:, :3], whole.tri_verts, process=False)


def projected_area(mesh, pull):
    """Area of the union of all facets, projected along the pull."""
    axis = AXES[pull]
    flat = np.delete(mesh.triangles - mesh.bounds.mean(axis=0), axis, axis=2)
    edge = flat[:, 1:] - flat[:, :1]
    area = edge[:, 0, 0] * edge[:, 1, 1] - edge[:, 0, 1] * edge[:, 1, 0]
    return shapely.union_all(shapely.polygons(flat[np.abs(area) > 1e-12])).area


def spread(mesh, count, seed=7):
    """Points evenly over the surface, one in each equal share of its area, with the normals there."""
    draw = np.random.default_rng(seed)
    upto = np.cumsum(mesh.area_faces)
    facet = np.searchsorted(upto, (np.arange(count) + draw.random(count)) / count * upto[-1]).clip(0, len(upto) - 1)
    u, v = draw.random((2, count))
    fold = u + v > 1
    u[fold], v[fold] = 1 - u[fold], 1 - v[fold]
    a, b, c = np.moveaxis(mesh.triangles[facet], 1, 0)
    return a + u[:, None] * (b - a) + v[:, None] * (c - a), mesh.face_normals[facet]


def first_hits(mesh, starts, directions):
    """Distance to the first facet along each ray, infinite where there is none: every facet is tried."""
    middle = mesh.bounds.mean(axis=0)
    starts = starts - middle
    a, b, c = np.moveaxis(mesh.triangles - middle, 1, 0)
    ab, ac = b - a, c - a
    normal = np.cross(ab, ac)
    level = np.einsum("ij,ij->i", a, normal)
    moments = np.cross(starts, directions)              # of each ray about the middle
    hits = np.empty(len(starts))
    batch = max(1, 1_000_000 // len(a))
    for begin in range(0, len(starts), batch):
        part = slice(begin, begin + batch)
        start, way, moment = starts[part], directions[part], moments[part]
        with np.errstate(divide="ignore", invalid="ignore"):
            slope = way @ normal.T
            u = -(moment @ ac.T - way @ np.cross(ac, a).T) / slope
            v = (moment @ ab.T - way @ np.cross(ab, a).T) / slope
            far = (level - start @ normal.T) / slope
            met = (u >= -1e-9) & (v >= -1e-9) & (u + v <= 1 + 1e-9) & (far > 0) & np.isfinite(far)
        hits[part] = np.where(met, far, np.inf).min(axis=1)
    return hits


def trapped_share(mesh, way, count=4000):
    """Share of the area that leaves neither along a direction nor against it, from 1e-4 of the diagonal outside."""
    points, normals = spread(mesh, count)
    starts = points + 1e-4 * np.linalg.norm(mesh.extents) * normals
    ways = np.tile(np.asarray(way, dtype=float), (count, 1))
    held = np.isfinite(first_hits(mesh, starts, ways))
    held[held] = np.isfinite(first_hits(mesh, starts[held], -ways[held]))
    return held.mean()


def axis(pull):
    """The direction of "+x", "+y" or "+z"."""
    return np.eye(3)[AXES[pull]]


def half_sphere(count):
    """Directions spread evenly over half a sphere."""
    z = (np.arange(count) + 0.5) / count
    turn = np.pi * (3 - np.sqrt(5)) * np.arange(count)
    across = np.sqrt(1 - z * z)
    return np.column_stack([across * np.cos(turn), across * np.sin(turn), z])


def ray_thickness(mesh, count=3000):
    """Distances along the inward normal to the next wall, sorted."""
    hits = ray_lengths(mesh, *spread(mesh, count))
    return np.sort(hits[np.isfinite(hits)])


def near_quantile(value, ordered, share, slack=0.03, step=0.02):
    """Whether a quantile agrees: where the walls jump from one value to another, a step of the share is allowed."""
    low, high = np.quantile(ordered, [max(share - step, 0), min(share + step, 1)])
    return low * (1 - slack) <= value <= high * (1 + slack)


def balls(mesh, count=600):
    """Diameter of the largest ball inside that touches each of some points, and the angle between the point and the
    contact that holds it, seen from its center (Ma, Bae & Choi 2012; contacts under 45 degrees are passed over)."""
    points, normals = spread(mesh, count)
    size = np.linalg.norm(mesh.extents)
    radius = ray_lengths(mesh, points, normals) / 2
    contact = np.full(count, np.pi)
    moving = np.isfinite(radius)
    for _ in range(40):
        at = np.flatnonzero(moving)
        if len(at) == 0:
            break
        centers = points[at] - normals[at] * radius[at, None]
        near, away, _ = trimesh.proximity.closest_point(mesh, centers)
        reach = points[at] - near
        depth = np.einsum("ij,ij->i", reach, normals[at])
        length = np.linalg.norm(reach, axis=1)
        smaller = length**2 / np.maximum(2 * depth, 1e-300)
        angle = 2 * np.arcsin(np.clip(length / (2 * smaller), 0, 1))
        inside = (away < radius[at] * (1 - 1e-5)) & (depth > 0) & (length > 1e-7 * size) & (angle >= np.pi / 4)
        radius[at[inside]] = np.minimum(radius[at], smaller)[inside]
        contact[at[inside]] = angle[inside]
        moving[at[~inside]] = False
    known = np.isfinite(radius)
    return 2 * radius[known], contact[known]


def ray_lengths(mesh, points, normals):
    inset = 1e-5 * np.linalg.norm(mesh.extents)
    return first_hits(mesh, points - inset * normals, -normals) + inset
