"""Times goodshot against the libraries that a person would otherwise string together, side by side in one run.

    cargo build --release
    apt-get install libusb-1.0-0 libgl1 libgomp1 libx11-6
    pip install -r benches/requirements.txt
    python benches/peers.py                      # models/lamp_bracket.stl cut finer, to 1.8 million facets
    python benches/peers.py --sweep              # the same from 20 thousand facets up, with growth exponents
    python benches/peers.py PART.stl --runs 5
    python benches/peers.py --rays               # first hits and nearest points beside Embree; first: cargo bench --no-run

Each run is a fresh process, timed from outside, with its peak memory. The peer reads the file with Open3D,
shoots one ray a facet for the wall thickness (Open3D's ray casting is Embree), sums the volume with trimesh
and takes the projected area along z from `trimesh.path.polygons.projected`: four numbers. goodshot does `check`:
every measure, the filling, the pictures and the report. Runs alternate, so a busy machine slows both.
"""

import argparse
import json
import math
import os
import pathlib
import shutil
import statistics
import struct
import subprocess
import sys
import tempfile
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
START = time.perf_counter()
FINE = {"peer": (0,), "goodshot": (0, 1, 3)}        # goodshot's exit code is its verdict; 2 is could not run


def peer(path, loader):
    """What the peer does in its own process; prints the numbers and the time of each stage."""
    marks = [("start", START)]

    def mark(stage):
        marks.append((stage, time.perf_counter()))

    import numpy
    import open3d
    import trimesh
    mark("import")
    if loader == "open3d":
        read = open3d.io.read_triangle_mesh(str(path))
        read.remove_duplicated_vertices()
        mesh = trimesh.Trimesh(numpy.asarray(read.vertices), numpy.asarray(read.triangles), process=False)
    else:
        mesh = trimesh.load_mesh(path)
    mark("load")
    scene = open3d.t.geometry.RaycastingScene()
    scene.add_triangles(open3d.core.Tensor(mesh.vertices.astype("float32")),
                        open3d.core.Tensor(mesh.faces.astype("uint32")))
    inset = 1e-5 * numpy.linalg.norm(mesh.extents)
    rays = numpy.hstack([mesh.triangles_center - inset * mesh.face_normals, -mesh.face_normals]).astype("float32")
    hits = scene.cast_rays(open3d.core.Tensor(rays))["t_hit"].numpy() + inset
    seen = numpy.isfinite(hits)
    order = numpy.argsort(hits[seen])
    share = numpy.cumsum(mesh.area_faces[seen][order])
    middle = hits[seen][order][numpy.searchsorted(share, share[-1] / 2)]
    mark("rays")
    volume = mesh.volume
    mark("volume")
    # `precise` is the quicker way on a fine mesh: without it, 1.8 million facets take fourteen times as long.
    projected = trimesh.path.polygons.projected(mesh, normal=[0, 0, 1], precise=True).area
    mark("projected area")
    stages = {name: at - before for (_, before), (name, at) in zip(marks, marks[1:])}
    print(json.dumps({"facets": len(mesh.faces), "thickness_p50_mm": float(middle), "volume_mm3": float(volume),
                      "projected_area_mm2": float(projected), "stages_s": stages}))


def run(command, fine):
    """Wall time and processor time in seconds, peak memory in MB and output of one fresh process.

    `fine` are the exit codes of a run that went well.
    """
    with tempfile.TemporaryFile() as out:
        begin = time.perf_counter()
        child = subprocess.Popen(command, stdin=subprocess.DEVNULL, stdout=out)
        _, status, usage = os.wait4(child.pid, 0)
        taken = time.perf_counter() - begin
        child.returncode = os.waitstatus_to_exitcode(status)
        if child.returncode not in fine:
            raise SystemExit(f"{' '.join(map(str, command))} ended with {child.returncode}")
        out.seek(0)
        return taken, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024, out.read()


def compare(path, goodshot, loader, runs):
    """Alternating runs of both on one file; prints a table and gives the two medians."""
    work = pathlib.Path(tempfile.mkdtemp(prefix="goodshot-peers-"))
    sides = {"peer": [sys.executable, __file__, "--loader", loader, "--peer", path]}
    if goodshot.exists():
        sides["goodshot"] = [goodshot, "check", path, "--out", work, "--pull", "+z", "--unit", "mm"]
    else:
        print(f"{goodshot} is not there: cargo build --release. Timing the peer alone.")
    seen = {name: [] for name in sides}
    for _ in range(runs):
        for name, command in sides.items():
            seen[name].append(run(command, FINE[name]))
    report = next(work.glob("*/report.json"), None)
    numbers = json.loads(seen["peer"][0][-1])
    print(f"\n{path.name}: {numbers['facets']} facets, {runs} runs")
    for name, results in seen.items():
        wall, busy, memory = ([r[k] for r in results] for k in range(3))
        print(f"  {name:9} min {min(wall):8.2f} s   median {statistics.median(wall):8.2f} s   "
              f"processor {statistics.median(busy):8.2f} s   peak {max(memory):7.0f} MB")
    stages = [json.loads(r[-1])["stages_s"] for r in seen["peer"]]
    print("  peer stages (median): "
          + "  ".join(f"{name} {statistics.median(s[name] for s in stages):.2f} s" for name in stages[0]))
    middle = {name: statistics.median(r[0] for r in results) for name, results in seen.items()}
    if report:
        part = json.loads(report.read_text())
        print(f"  volume {numbers['volume_mm3']:.6f} / {part['part']['volume_mm3']:.6f} mm3, "
              f"projected area {numbers['projected_area_mm2']:.6f} / {part['pull']['projected_area_mm2']:.6f} mm2, "
              f"median ray {numbers['thickness_p50_mm']:.4f} / {part['thickness']['ray_mm']['p50']:.4f} mm (peer / goodshot)")
        print(f"  goodshot takes {middle['goodshot'] / middle['peer']:.3f} of the peer's time")
    shutil.rmtree(work)
    return numbers["facets"], middle


def peer_rays(part, rays):
    """First hits and nearest points of the rays of a file by Embree; prints what `benches/rays.rs` does."""
    import numpy
    import open3d
    import trimesh
    mesh = trimesh.load_mesh(part)
    rays = open3d.core.Tensor(numpy.fromfile(rays, "<f4").reshape(-1, 6))
    starts = open3d.core.Tensor(numpy.ascontiguousarray(rays.numpy()[:, :3]))
    corners = open3d.core.Tensor(mesh.vertices.astype("float32"))
    facets = open3d.core.Tensor(mesh.faces.astype("uint32"))
    begin = time.perf_counter()
    scene = open3d.t.geometry.RaycastingScene()
    scene.add_triangles(corners, facets)
    scene.cast_rays(rays[:1])                       # the tree is built at the first question
    built = time.perf_counter()
    hits = scene.cast_rays(rays)["t_hit"].numpy()
    hit = time.perf_counter()
    near = scene.compute_closest_points(starts)["points"].numpy()
    done = time.perf_counter()
    print(json.dumps({"tree_s": built - begin, "first_hit_s": hit - built, "nearest_s": done - hit,
                      "hits_mm": float(hits[numpy.isfinite(hits)].sum(dtype="f8")),
                      "nearest_mm": float(numpy.linalg.norm(near - starts.numpy(), axis=1).sum(dtype="f8"))}))


def make_rays(part, order, path):
    """One ray a facet from just inside along the normal, in the order of a space-filling curve, or as many from
    anywhere in the box to anywhere on the part. Runs in a process of its own."""
    import numpy
    import trimesh
    mesh = trimesh.load_mesh(part)
    middles = mesh.triangles_center
    if order == "coherent":
        inset = 1e-5 * numpy.linalg.norm(mesh.extents)
        rays = numpy.hstack([middles - inset * mesh.face_normals, -mesh.face_normals])
        steps = ((middles - mesh.bounds[0]) * ((2**20 - 1) / mesh.extents.max())).astype("uint64")
        key = numpy.zeros(len(steps), dtype="uint64")
        for bit in range(20):
            for axis in range(3):
                key |= (steps[:, axis] >> numpy.uint64(bit) & numpy.uint64(1)) << numpy.uint64(3 * bit + axis)
        rays = rays[numpy.argsort(key, kind="stable")]
    else:
        random = numpy.random.default_rng(1)
        count = min(len(middles), 1_000_000)
        starts = mesh.bounds.mean(axis=0) + (random.random((count, 3)) - 0.5) * mesh.extents * 1.2
        along = middles[random.integers(0, len(middles), count)] - starts
        rays = numpy.hstack([starts, along / numpy.linalg.norm(along, axis=1, keepdims=True)])
    rays.astype("<f4").tofile(path)


def compare_rays(path, runs):
    """Alternating runs of both on one file and two kinds of rays; the best of each counts."""
    ours = [command for command in (ROOT / "target/release/deps").glob("rays-*") if command.suffix == ""]
    if not ours:
        raise SystemExit("benches/rays.rs is not built: cargo bench --no-run")
    newest = max(ours, key=lambda command: command.stat().st_mtime)
    for order in ("coherent", "random"):
        rays = path.with_suffix(f".{order}.bin")
        subprocess.run([sys.executable, __file__, "--make-rays", path, order, rays], check=True)
        sides = {"peer": [sys.executable, __file__, "--peer-rays", path, rays], "goodshot": [newest, path, rays]}
        seen = {name: [] for name in sides}
        for _ in range(runs):
            for name, command in sides.items():
                seen[name].append(json.loads(run(command, (0,))[-1]))
        best = {name: {key: min(one[key] for one in all) for key in all[0]} for name, all in seen.items()}
        count = rays.stat().st_size // 24
        print(f"{path.name}, {count} {order} rays, best of {runs}: peer's time over goodshot's")
        for key in ("tree_s", "first_hit_s", "nearest_s"):
            peer, own = (best[name][key] for name in ("peer", "goodshot"))
            print(f"  {key[:-2].replace('_', ' '):9}  {peer / own:6.2f}   ({peer:.3f} s, {own:.3f} s)")
        for key in ("hits_mm", "nearest_mm"):
            print(f"  {key[:-3]:9}  sums of distances differ by {abs(best['goodshot'][key] / best['peer'][key] - 1):.1e}")
        rays.unlink()


def finer(source, facets, path):
    """The same surface in at least so many facets: the longest edges are halved, alike on both sides of each.

    Every new point lies on an old edge up to single precision. Runs in a process of its own: the memory of
    this one would count as that of the processes it starts.
    """
    import numpy
    import trimesh
    mesh = trimesh.load_mesh(source)
    points, faces = mesh.vertices, mesh.faces
    while len(faces) < facets:
        if 4 * len(faces) <= facets * 1.02:
            points, faces = trimesh.remesh.subdivide(points, faces)
        else:
            # Each split of one edge adds two facets to a closed surface.
            points, faces = split_longest(points, faces, (facets - len(faces) + 1) // 2)
    corners = points[faces].astype("<f4")
    normals = numpy.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    normals /= numpy.maximum(numpy.linalg.norm(normals, axis=1, keepdims=True), 1e-30)
    record = numpy.zeros(len(faces), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])
    record["normal"], record["corners"] = normals, corners
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(b"finer facets, mm".ljust(80) + struct.pack("<I", len(faces)) + record.tobytes())


def split_longest(points, faces, wanted):
    """Halves up to `wanted` of the longest edges, no two of them on one facet."""
    import numpy
    import trimesh
    edges = numpy.sort(trimesh.geometry.faces_to_edges(faces), axis=1)
    unique, inverse = numpy.unique(edges, axis=0, return_inverse=True)
    inverse = inverse.reshape(-1, 3)
    length = numpy.linalg.norm(points[unique[:, 0]] - points[unique[:, 1]], axis=1)
    rank = numpy.empty(len(unique), dtype=int)
    rank[numpy.lexsort((unique[:, 1], unique[:, 0], -length))] = numpy.arange(len(unique))
    # An edge is halved when it is the longest of both its facets.
    first = inverse[numpy.arange(len(faces)), rank[inverse].argmin(axis=1)]
    chosen = numpy.flatnonzero(numpy.bincount(first, minlength=len(unique)) == 2)
    chosen = chosen[numpy.argsort(rank[chosen])][:wanted]
    new = numpy.full(len(unique), -1)
    new[chosen] = len(points) + numpy.arange(len(chosen))
    points = numpy.vstack([points, points[unique[chosen]].mean(axis=1)])
    split = new[inverse]
    facet, corner = numpy.nonzero(split >= 0)
    middle = split[facet, corner]
    a, b, c = (faces[facet, (corner + k) % 3] for k in range(3))
    keep = numpy.ones(len(faces), dtype=bool)
    keep[facet] = False
    return points, numpy.vstack([faces[keep], numpy.c_[a, middle, c], numpy.c_[middle, b, c]])


def main():
    ask = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ask.add_argument("files", nargs="*", type=pathlib.Path)
    ask.add_argument("--goodshot", type=pathlib.Path, default=ROOT / "target/release/goodshot")
    ask.add_argument("--runs", type=int, default=3)
    ask.add_argument("--sweep", action="store_true", help="20 thousand to 1.8 million facets")
    ask.add_argument("--rays", action="store_true", help="first hits and nearest points alone, 128 thousand to 2 million facets")
    ask.add_argument("--finer", nargs=2, help=argparse.SUPPRESS)
    ask.add_argument("--make-rays", nargs=3, help=argparse.SUPPRESS)
    ask.add_argument("--peer-rays", nargs=2, help=argparse.SUPPRESS)
    ask.add_argument("--loader", choices=["open3d", "trimesh"], default="open3d", help="what reads the peer's file")
    ask.add_argument("--peer", type=pathlib.Path, help=argparse.SUPPRESS)
    asked = ask.parse_args()
    source = ROOT / "models/lamp_bracket.stl"
    if asked.peer:
        return peer(asked.peer, asked.loader)
    if asked.finer:
        return finer(source, int(asked.finer[0]), pathlib.Path(asked.finer[1]))
    if asked.make_rays:
        return make_rays(*asked.make_rays)
    if asked.peer_rays:
        return peer_rays(*asked.peer_rays)
    sizes = [20_000, 60_000, 200_000, 600_000, 1_800_000] if asked.sweep else [1_800_000]
    if asked.rays:
        sizes = [128_000, 512_000, 1_600_000, 2_000_000]
    files = asked.files or [ROOT / f"target/peers/lamp_bracket_{n // 1000}k.stl" for n in sizes]
    for facets, path in zip([] if asked.files else sizes, files):
        subprocess.run([sys.executable, __file__, "--finer", str(facets), path], check=True)
    if asked.rays:
        for path in files:
            compare_rays(path, asked.runs)
        return None
    seen = [compare(path, asked.goodshot, asked.loader, asked.runs) for path in files]
    for (few, before), (many, after) in zip(seen, seen[1:]):
        growth = {name: math.log(after[name] / before[name]) / math.log(many / few) for name in after}
        print(f"{few} to {many} facets: time grows as facets to the power "
              + ", ".join(f"{power:.2f} ({name})" for name, power in growth.items()))


if __name__ == "__main__":
    main()
