"""Makes tests/data/meshes/* and tests/data/mesh_values.json.

Needs Python 3 with trimesh 5.2.0, numpy 2.4.6, pygltflib 1.16.5, shapely 2.2.0 and
mapbox_earcut 2.1.0; the project's tests read the results and need none of them. The
models are invented: a stand of an L-shaped section (its ends are polygons that are
not convex), a mast and a drum.

Run from the repository's root: python3 tests/reference/make_mesh_values.py
"""

import json
import pathlib
import struct

import numpy as np
import pygltflib
import trimesh

HERE = pathlib.Path(__file__).resolve().parent
DATA = HERE.parent / "data"
FOLDER = DATA / "meshes"

# section: x outward, z up; metres. A notch makes it concave.
SECTION = [(0, 0), (24, 0), (24, 16), (20, 16), (20, 12), (0, 2)]
LENGTH = 80.0


def stand_obj():
    """Millimetres, z up, two objects, a polyline, a point, relative indices."""
    lines = ["# an invented stand", "mtllib none.mtl", "o stand", "usemtl concrete"]
    count = len(SECTION)
    for y in (0.0, LENGTH):
        for x, z in SECTION:
            lines.append(f"v {x * 1000:.1f} {y * 1000:.1f} {z * 1000:.1f}")
    near = [i + 1 for i in range(count)]
    far = [i + 1 + count for i in range(count)]
    lines.append("f " + " ".join(map(str, near)))
    lines.append("f " + " ".join(str(i) for i in reversed(far)))
    for i in range(count):
        j = (i + 1) % count
        lines.append(f"f {near[i]}//1 {far[i]}//1 {far[j]}//1 {near[j]}//1")
    lines.append("l 1 2 3 4")
    lines.append("p 1")
    # a mast beside it, by relative indices, its line carried on
    lines.append("o mast")
    lines.append("usemtl steel")
    for z in (0.0, 30.0):
        for x, y in ((30, 0), (31, 0), (31, 1), (30, 1)):
            lines.append(f"v {x * 1000} {y * 1000} {z * 1000}")
    for f in ("-8 -5 -6 -7", "-4 -3 -2 -1", "-8 -7 -3 -4", "-7 -6 -2 \\\n -3", "-6 -5 -1 -2", "-5 -8 -4 -1"):
        lines.append(f"f {f}")
    (FOLDER / "stand.obj").write_text("\n".join(lines) + "\n")


def stand_glb():
    """The same stand, metres, y up, through a node that turns, moves and scales."""
    mesh = trimesh.creation.extrude_polygon(
        __import__("shapely").Polygon(SECTION), LENGTH
    )  # x outward, y up, z along
    scene = trimesh.Scene()
    place = trimesh.transformations.compose_matrix(
        scale=[2.0, 2.0, 2.0], angles=[0.0, 0.7, 0.0], translate=[5.0, 0.0, -3.0]
    )
    mesh.apply_scale(0.5)
    scene.add_geometry(mesh, node_name="stand", geom_name="stand", transform=place)
    (FOLDER / "stand.glb").write_bytes(scene.export(file_type="glb"))


def drum_gltf():
    """A drum of a triangle strip (its side) and two lists (its ends); a buffer beside."""
    n, radius, height = 16, 6.0, 9.0
    ring = [(radius * np.cos(2 * np.pi * i / n), radius * np.sin(2 * np.pi * i / n)) for i in range(n)]
    points = [(x, h, -y) for h in (0.0, height) for x, y in ring]
    points += [(0.0, 0.0, 0.0), (0.0, height, 0.0)]
    strip = []
    for i in range(n + 1):
        strip += [i % n, n + i % n]
    ends = []
    for i in range(n):
        j = (i + 1) % n
        ends += [2 * n, j, i, 2 * n + 1, n + i, n + j]
    vertices = np.array(points, dtype="<f4").tobytes()
    a = struct.pack(f"<{len(strip)}H", *strip)
    pad = b"\0" * (-len(a) % 4)
    b = struct.pack(f"<{len(ends)}I", *ends)
    blob = vertices + a + pad + b
    (FOLDER / "drum.bin").write_bytes(blob)
    g = pygltflib.GLTF2()
    g.asset = pygltflib.Asset(version="2.0")
    g.buffers = [pygltflib.Buffer(byteLength=len(blob), uri="drum.bin")]
    offset_b = len(vertices) + len(a) + len(pad)
    g.bufferViews = [
        pygltflib.BufferView(buffer=0, byteOffset=0, byteLength=len(vertices)),
        pygltflib.BufferView(buffer=0, byteOffset=len(vertices), byteLength=len(a)),
        pygltflib.BufferView(buffer=0, byteOffset=offset_b, byteLength=len(b)),
    ]
    low = np.min(np.array(points, dtype="f4"), axis=0).tolist()
    high = np.max(np.array(points, dtype="f4"), axis=0).tolist()
    g.accessors = [
        pygltflib.Accessor(bufferView=0, componentType=5126, count=len(points), type="VEC3", min=low, max=high),
        pygltflib.Accessor(bufferView=1, componentType=5123, count=len(strip), type="SCALAR"),
        pygltflib.Accessor(bufferView=2, componentType=5125, count=len(ends), type="SCALAR"),
    ]
    attributes = pygltflib.Attributes(POSITION=0)
    g.meshes = [
        pygltflib.Mesh(
            name="drum",
            primitives=[
                pygltflib.Primitive(attributes=attributes, indices=1, mode=5),
                pygltflib.Primitive(attributes=attributes, indices=2, mode=4),
            ],
        )
    ]
    g.nodes = [
        pygltflib.Node(name="tower", children=[1], translation=[10.0, 1.0, 2.0]),
        pygltflib.Node(name="mirrored", mesh=0, scale=[-1.0, 2.0, 1.0]),
    ]
    g.scenes = [pygltflib.Scene(nodes=[0])]
    g.scene = 0
    (FOLDER / "drum.gltf").write_text(g.to_json(indent=1) + "\n")


def values(name):
    """What trimesh reads: trimesh.load(...).to_geometry(), points merged."""
    mesh = trimesh.load(FOLDER / name, force="scene").to_geometry()
    mesh.merge_vertices(merge_tex=True, merge_norm=True)
    trimesh.repair.fix_normals(mesh)
    return {
        "triangles": len(mesh.faces),
        "corners": len(mesh.vertices),
        "closed": bool(mesh.is_watertight),
        "bounds": mesh.bounds.tolist(),
        "area": float(mesh.area),
        "volume": float(abs(mesh.volume)),
        "pieces": len(mesh.split(only_watertight=False)),
    }


def main():
    FOLDER.mkdir(exist_ok=True)
    stand_obj()
    stand_glb()
    drum_gltf()
    out = {
        "made_by": "make_mesh_values.py",
        "trimesh": trimesh.__version__,
        "numpy": np.__version__,
        "call": "trimesh.load(file, force='scene').to_geometry(), merge_vertices, fix_normals",
        "files": {name: values(name) for name in ("stand.obj", "stand.glb", "drum.gltf")},
    }
    (DATA / "mesh_values.json").write_text(json.dumps(out, indent=1) + "\n")


if __name__ == "__main__":
    main()
