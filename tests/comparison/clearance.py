"""The same scene measured by Pipeloft and by trimesh with FCL, in one run on one machine.

    pip install trimesh python-fcl numpy
    python3 tests/comparison/clearance.py

A scan of a million triangles, and a run of ten bends (40 solids) over it. Pipeloft measures to the exact solids; FCL
gets the skin of each as triangles, chords within 0.05 mm, which is what it is made for. Reading files and building
trees is left out of the times on both sides; each takes the best of several rounds.
"""

import json
import os
import subprocess
import sys
import tempfile
import time

try:
    import fcl
    import numpy
    import trimesh
except ImportError as missing:
    sys.exit(f"{missing}. Try: pip install trimesh python-fcl numpy")

HERE = os.path.dirname(os.path.abspath(__file__))
ROUNDS = 3
# chords of the skins, and single precision of the file
FACETS_MM = 0.06


def ours(*words):
    command = ["cargo", "run", "--quiet", "--release", "-p", "pipeloft-tests", "--example", "gaps", "--", *words]
    done = subprocess.run(command, cwd=os.path.join(HERE, "..", ".."), capture_output=True, text=True, check=True)
    return json.loads(done.stdout)


def best_of(rounds, work):
    times = []
    for _ in range(rounds):
        begin = time.perf_counter()
        result = work()
        times.append(time.perf_counter() - begin)
    return min(times), result


def main():
    with tempfile.TemporaryDirectory() as folder:
        result = ours(folder)
        memory = ours(folder, "load")
        begin = time.perf_counter()
        scan = trimesh.load(os.path.join(folder, "scan.stl"), process=False)
        with open(os.path.join(folder, "run.json"), encoding="utf-8") as file:
            skins = [trimesh.Trimesh(points, triangles, process=False) for points, triangles in json.load(file)]
        managers = trimesh.collision.CollisionManager(), trimesh.collision.CollisionManager()
        managers[0].add_object("scan", scan)
        for number, skin in enumerate(skins):
            managers[1].add_object(str(number), skin)
        load_s = time.perf_counter() - begin

    print(f"scan: {result['triangles']} triangles; read and prepared: {result['load_s']:.2f} s here, "
          f"{load_s:.2f} s trimesh and FCL")
    print(f"memory here: {memory['peak_mb']:.0f} MB at most while reading, {memory['kept_mb']:.0f} MB kept")
    whole_s, gap = best_of(ROUNDS, lambda: managers[0].min_distance_other(managers[1]))
    each_s, each = best_of(ROUNDS, lambda: [managers[0].min_distance_single(skin) for skin in skins])
    for name, mine, theirs in [("whole run", result["whole_run_s"], whole_s),
                               ("each solid", result["each_solid_s"], each_s)]:
        print(f"{name}: {mine * 1e3:.3f} ms here, {theirs * 1e3:.1f} ms trimesh and FCL, ratio {theirs / mine:.0f}")
    print(f"tightest gap: {result['gap_mm']:.4f} mm here, {gap:.4f} mm trimesh and FCL")
    worst = max(abs(a - b) for a, b in zip(result["each_mm"], each) if a > FACETS_MM)
    print(f"furthest apart over all solids: {worst:.4f} mm")
    if abs(result["gap_mm"] - gap) > FACETS_MM or worst > FACETS_MM:
        sys.exit("The two do not agree.")


if __name__ == "__main__":
    main()
