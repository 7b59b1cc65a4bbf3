"""Times the clearance of one run to one scan here and with trimesh and FCL, on one core, in one go.

    python3 tests/comparison/clearance.py [--rounds 30] [--height 120] [--folder FOLDER]

It makes a sheet of a million triangles and a run of ten bends, writes both to files, has the example `gaps` measure
them, and then trimesh and FCL. What is made ready once (reading, trees, managers) is outside of the timed part on both
sides, and the best of the rounds counts. FCL is asked in six ways:

  trimesh managers   trimesh's CollisionManager for the scan and for the run, a fine mesh for each piece; trimesh hands
                     FCL those that are convex as such
  FCL mesh manager   the same meshes in FCL's own manager, all as trees of triangles
  FCL mesh pairs     the same, pair by pair
  FCL one mesh       the whole run as one mesh: it does not say which piece, and has to be made anew for every step of
                     a drag; how long that takes, without making the triangles, is printed too
  FCL shape manager  FCL's own cylinders and boxes for tubes, joints and lugs, meshes for the bends
  FCL shape pairs    the same, pair by pair

FCL's answers are exact for the facets; here the search stops within 0.01 mm.

It ends with 1 where the gaps differ by more than the facets of the pieces can explain.
"""

import argparse
import json
import math
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import NamedTuple

try:
    import fcl
    import numpy as np
    import scipy  # noqa: F401 (trimesh's managers need it)
    import trimesh
    from trimesh.collision import CollisionManager
except ImportError as missing:
    sys.exit(f"{missing}. Say: pip install trimesh python-fcl numpy scipy")

REPOSITORY = Path(__file__).resolve().parents[2]

# Facets round a tube and along a bend: gaps are off by a few hundredths of a millimetre at the most.
AROUND, ALONG = 64, 24

# FCL and the program each stop when this near to the answer, mm.
SEARCH_MM = 0.02


def sheet():
    """A sheet of a million triangles, 2.4 m x 1.6 m, as uneven as an engine bay."""
    columns, rows = 1000, 500
    x, y = np.meshgrid(np.arange(columns + 1) * 2.4, np.arange(rows + 1) * 3.2)
    z = 50 * np.sin(x / 90) * np.cos(y / 70) + 20 * np.sin(x / 23 + y / 31)
    points = np.stack([x, y, z], axis=-1).reshape(-1, 3).astype(np.float32)
    return points, grid_faces(rows, columns)


def grid_faces(rows, columns):
    place = np.arange((rows + 1) * (columns + 1)).reshape(rows + 1, columns + 1)
    a, b = place[:-1, :-1], place[:-1, 1:]
    c, d = place[1:, :-1], place[1:, 1:]
    squares = np.stack([np.stack([a, b, d], axis=-1), np.stack([a, d, c], axis=-1)], axis=2)
    return squares.reshape(-1, 3)


def turned(vector, axis, angle):
    """The vector turned about a unit axis, right-handed (Rodrigues)."""
    return (
        vector * math.cos(angle)
        + np.cross(axis, vector) * math.sin(angle)
        + axis * np.dot(axis, vector) * (1 - math.cos(angle))
    )


def run(height_mm, lift_mm):
    """Ten bends, ten tubes, ten joints and their lugs; from the middle on moved up by lift_mm."""
    radius_mm, solids = 31.75, []
    at, travel, index = np.array([150.0, 300.0, height_mm]), np.array([1.0, 0, 0]), np.array([0, 0, 1.0])
    for bend in range(10):
        if bend == 5:
            at = at + [0, 0, lift_mm]
        start = {"origin": at, "travel": travel, "index": index}
        tube = {"length_mm": 90.0, "radius_mm": radius_mm, "start_normal": travel, "end_normal": travel}
        solids.append({"kind": "barrel", **start, **tube})
        at = at + travel * 90
        toward = turned(index, travel, -1.57 if bend % 2 == 0 else 1.57)
        clr_mm, angle_rad = 95.0, 0.9 if bend % 3 == 0 else 0.8
        start = {"origin": at, "travel": travel, "index": index, "radius_mm": radius_mm}
        solids.append({"kind": "elbow", **start, "toward": toward, "clr_mm": clr_mm, "angle_rad": angle_rad})
        axis, centre = np.cross(travel, toward), at + toward * clr_mm
        at = centre + turned(at - centre, axis, angle_rad)
        travel, index = turned(travel, axis, angle_rad), turned(index, axis, angle_rad)
        start = {"origin": at, "travel": travel, "index": index}
        solids.append({"kind": "drum", **start, "length_mm": 40.0, "radius_mm": 37.0})
        axes = np.array([travel, index, np.cross(travel, index)])
        middle = at + travel * 20 + index * 44
        solids.append({"kind": "block", "centre": middle, "axes": axes, "half_mm": np.array([12.0, 8, 10])})
        at = at + travel * 40
    return solids


def write(folder, points, faces, scene):
    """The scan as binary STL and the scene as JSON."""
    record = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("spare", "<u2")])
    records = np.zeros(len(faces), record)
    records["corners"] = points[faces]
    with open(folder / "scan.stl", "wb") as stl:
        stl.write(b" " * 80 + np.uint32(len(faces)).tobytes() + records.tobytes())
    text = json.dumps(scene, default=lambda array: array.tolist())
    (folder / "scene.json").write_text(text)


def round_mesh(rings):
    """A closed mesh of rings of points, with a fan over the first and the last."""
    rings = np.array(rings)
    count, around = rings.shape[:2]
    closed = np.concatenate([rings, rings[:, :1]], axis=1).reshape(-1, 3)
    faces = [grid_faces(count - 1, around)]
    ends = []
    for ring, turn in ((0, 1), (count - 1, -1)):
        first = ring * (around + 1)
        middle = len(closed) + len(ends)
        ends.append(rings[ring].mean(axis=0))
        i = np.arange(around)
        faces.append(np.stack([np.full(around, middle), first + i, first + i + 1], axis=1)[:, ::turn])
    return np.concatenate([closed, ends]), np.concatenate(faces)


def mesh_of(solid):
    """Points, faces, and how far a facet can be off the true surface, mm."""
    if solid["kind"] == "block":
        signs = np.array([[i & 1, i >> 1 & 1, i >> 2 & 1] for i in range(8)]) * 2 - 1
        points = solid["centre"] + (signs * solid["half_mm"]) @ solid["axes"]
        quads = [(0, 1, 3, 2), (4, 5, 7, 6), (0, 1, 5, 4), (2, 3, 7, 6), (0, 2, 6, 4), (1, 3, 7, 5)]
        return points, np.array([t for a, b, c, d in quads for t in ((a, b, c), (a, c, d))]), 0.0
    origin, travel, index, r = (solid[key] for key in ("origin", "travel", "index", "radius_mm"))
    turns = np.linspace(0, 2 * math.pi, AROUND, endpoint=False)[:, None]
    dv = 2 * math.pi / AROUND
    if solid["kind"] == "elbow":
        toward, clr, angle = solid["toward"], solid["clr_mm"], solid["angle_rad"]
        axis, centre = np.cross(travel, toward), origin + toward * clr
        rings = []
        for turn in np.linspace(0, angle, ALONG + 1):
            out = turned(-toward, axis, turn)
            rings.append(centre + out * (clr + r * np.cos(turns)) + axis * (r * np.sin(turns)))
        # error of linear interpolation over a facet, from the second derivatives
        du = angle / ALONG
        return *round_mesh(rings), ((clr + r) * du**2 + 2 * r * du * dv + r * dv**2) / 8
    ring = index * np.cos(turns) * r + np.cross(travel, index) * np.sin(turns) * r
    rings = [origin + ring, origin + travel * solid["length_mm"] + ring]
    return *round_mesh(rings), r * (1 - math.cos(dv / 2))


def bvh(points, faces):
    model = fcl.BVHModel()
    model.beginModel(len(points), len(faces))
    model.addSubModel(np.asarray(points, dtype=np.float64), np.asarray(faces, dtype=np.int64))
    model.endModel()
    return model


def shape_of(solid):
    """FCL's own shape for what it has one; a mesh for a bend."""
    if solid["kind"] == "block":
        turn = solid["axes"].T
        return fcl.CollisionObject(fcl.Box(*(2 * solid["half_mm"])), fcl.Transform(turn, solid["centre"]))
    if solid["kind"] == "elbow":
        return fcl.CollisionObject(bvh(*mesh_of(solid)[:2]), fcl.Transform())
    # round about its own Z, from the middle
    travel, index = solid["travel"], solid["index"]
    turn = np.stack([index, np.cross(travel, index), travel], axis=1)
    middle = solid["origin"] + travel * solid["length_mm"] / 2
    return fcl.CollisionObject(
        fcl.Cylinder(solid["radius_mm"], solid["length_mm"]), fcl.Transform(turn, middle)
    )


def manager(objects):
    tree = fcl.DynamicAABBTreeCollisionManager()
    tree.registerObjects(objects)
    tree.setup()
    return tree


def timed_ms(rounds, work):
    """Milliseconds of each round, least first, after one that does not count; and what the work says."""
    answer, all_ms = work(), []
    for _ in range(rounds):
        start = time.perf_counter()
        work()
        all_ms.append((time.perf_counter() - start) * 1e3)
    return sorted(all_ms), answer


class Asked(NamedTuple):
    """What FCL is asked, each with all it needs made ready."""

    ready_s: float  # to make the tree of the scan
    whole: dict  # the ways to ask for the gap of the run
    each: Callable  # the gap of every piece
    remake: Callable  # the tree of the run as one mesh
    off_mm: list  # how far the facets of each piece can be off


def ways(points, faces, solids):
    meshes = [mesh_of(solid) for solid in solids]
    start = time.perf_counter()
    scan = fcl.CollisionObject(bvh(points, faces), fcl.Transform())
    ready_s = time.perf_counter() - start
    there, here = CollisionManager(), CollisionManager()
    there.add_object("scan", trimesh.Trimesh(points, faces, process=False))
    for i, (corners, triangles, _) in enumerate(meshes):
        here.add_object(str(i), trimesh.Trimesh(corners, triangles, process=False))
    pieces = [fcl.CollisionObject(bvh(*mesh[:2]), fcl.Transform()) for mesh in meshes]
    first = np.cumsum([0] + [len(mesh[0]) for mesh in meshes])
    together = np.concatenate([mesh[1] + shift for mesh, shift in zip(meshes, first)])
    corners_together = np.concatenate([mesh[0] for mesh in meshes])
    whole = fcl.CollisionObject(bvh(corners_together, together), fcl.Transform())
    shapes = [shape_of(solid) for solid in solids]
    scan_tree, piece_tree, shape_tree = manager([scan]), manager(pieces), manager(shapes)

    def managed(tree):
        data = fcl.DistanceData()
        tree.distance(scan_tree, data, fcl.defaultDistanceCallback)
        return data.result.min_distance

    return Asked(
        ready_s=ready_s,
        whole={
            "trimesh managers": lambda: here.min_distance_other(there),
            "FCL mesh manager": lambda: managed(piece_tree),
            "FCL mesh pairs": lambda: min(fcl.distance(scan, piece) for piece in pieces),
            "FCL one mesh": lambda: fcl.distance(scan, whole),
            "FCL shape manager": lambda: managed(shape_tree),
            "FCL shape pairs": lambda: min(fcl.distance(scan, shape) for shape in shapes),
        },
        each=lambda: [fcl.distance(scan, piece) for piece in pieces],
        remake=lambda: bvh(corners_together, together),
        off_mm=[mesh[2] for mesh in meshes],
    )


def ours(folder):
    gaps = ["cargo", "run", "--release", "--quiet", "-p", "pipeloft-tests", "--example", "gaps", "--"]
    answer = subprocess.run(
        [*gaps, str(folder / "scene.json")], cwd=REPOSITORY, stdout=subprocess.PIPE, check=False
    )
    if answer.returncode:
        sys.exit("The example gaps did not run; what it says stands above.")
    return json.loads(answer.stdout)


def one_core():
    """Keeps this process and those it starts on one core, where the system can."""
    if hasattr(os, "sched_setaffinity"):
        os.sched_setaffinity(0, {max(os.sched_getaffinity(0))})
        return "on one core"
    return "on as many cores as each likes: this system does not keep a process on one"


def compare(folder, arguments):
    points, faces = sheet()
    solids = run(arguments.height, 0.0)
    moved = run(arguments.height, 2.0)
    rounds = arguments.rounds
    write(folder, points, faces, {"scan": "scan.stl", "rounds": rounds, "run": solids, "moved_run": moved})
    build = ["cargo", "build", "--release", "--quiet", "-p", "pipeloft-tests", "--example", "gaps"]
    if subprocess.run(build, cwd=REPOSITORY, check=False).returncode:
        sys.exit("The example gaps does not build; what is wrong stands above.")
    cores = one_core()
    own = ours(folder)
    asked = ways(points, faces, solids)
    versions = (
        f"trimesh {trimesh.__version__}, python-fcl {getattr(fcl, '__version__', 'of unknown version')}"
    )
    print(f"{len(faces)} triangles, {len(solids)} solids, {rounds} rounds, {cores}; {versions}")
    print(f"made ready: here {own['ready_s']:.2f} s with reading the file, FCL {asked.ready_s:.2f} s without")
    print(f"{'':18} {'gap mm':>9} {'best ms':>9} {'middle':>9}   best to best")
    middle = rounds // 2
    print(f"{'here':18} {own['gap_mm']:9.4f} {own['whole_ms'][0]:9.3f} {own['whole_ms'][middle]:9.3f}")
    wrong, best = [], {}
    for name, ask in asked.whole.items():
        all_ms, gap_mm = timed_ms(rounds, ask)
        best[name] = all_ms[0] / own["whole_ms"][0]
        print(f"{name:18} {gap_mm:9.4f} {all_ms[0]:9.3f} {all_ms[middle]:9.3f}   x {best[name]:.1f}")
        if abs(gap_mm - own["gap_mm"]) > max(asked.off_mm) + SEARCH_MM:
            wrong.append(f"{name}: {gap_mm} mm, here {own['gap_mm']} mm")
    each_ms, each_mm = timed_ms(rounds, asked.each)
    pairs = list(zip(each_mm, own["each_gap_mm"], asked.off_mm))
    for i, (theirs, here, off) in enumerate(pairs):
        if abs(theirs - here) > off + SEARCH_MM:
            wrong.append(f"piece {i}, {solids[i]['kind']}: FCL {theirs} mm, here {here} mm, facets {off} mm")
    differ = max(abs(theirs - here) for theirs, here, _ in pairs)
    ratio = each_ms[0] / own["each_ms"][0]
    print(f"every piece's own gap: here {own['each_ms'][0]:.3f} ms, FCL {each_ms[0]:.3f} ms, x {ratio:.1f}")
    print(f"they differ by {differ:.4f} mm at the most; the facets allow {max(asked.off_mm):.4f} mm")
    remake_ms, _ = timed_ms(rounds, asked.remake)
    print(f"the run 2 mm to and fro, from where it was tightest: here {own['drag_ms'][0]:.3f} ms")
    print(f"its one mesh made anew for FCL: {remake_ms[0]:.3f} ms")
    quickest = min(best, key=best.get)
    print(f"times as long as here: {best['trimesh managers']:.0f} trimesh's managers, ", end="")
    print(f"{best[quickest]:.1f} the quickest way ({quickest})")
    for sentence in wrong:
        print(f"DIFFERENT: {sentence}")
    return 1 if wrong else 0


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rounds", type=int, default=30, help="rounds of which the best counts")
    parser.add_argument("--height", type=float, default=120.0, help="height of the run over the sheet, mm")
    parser.add_argument("--folder", type=Path, help="where to leave the files; else they are thrown away")
    arguments = parser.parse_args()
    if arguments.folder:
        arguments.folder.mkdir(parents=True, exist_ok=True)
        return compare(arguments.folder.resolve(), arguments)
    with tempfile.TemporaryDirectory() as folder:
        return compare(Path(folder), arguments)


if __name__ == "__main__":
    sys.exit(main())
