"""A picture of a simple court by a general-purpose renderer.

Writes tests/data/view_court.json: an invented court out of flat sheets, a sun and a sky,
a camera, and the luminance in cd/m2 of every pixel as Mitsuba 3 finds it by tracing paths.
Run from the top folder:

    pip install mitsuba==3.9.1 numpy==2.4.6
    python3 tests/reference/make_view_court_values.py

All is grey and matt. The sky is CIE standard general sky type 12 (ISO 15469:2004) as an
environment map scaled so that an open horizontal plane gets the stated illuminance; the sun
is a disc of 0.533 degree far off. Integrator `path`, depth 12, box filter, samples stated
below: a sample of a pixel is anywhere in it, so edges are smooth. A radiance of 1 stands for
1 cd/m2.
"""

import json
import math
import os
import tempfile

import mitsuba as mi
import numpy as np

mi.set_variant("scalar_rgb")

SIZE = (160, 90)
SAMPLES = int(os.environ.get("SAMPLES", "3072"))
SUN = {"azimuth_deg": 222.0, "elevation_deg": 34.0, "direct_normal_lx": 86000.0}
SKY_TYPE, SKY_LX = 12, 13500.0
GROUND = 0.25
HALF = (22.0, 14.0)
CAMERA = {"at": [-34.0, -20.0, 13.0], "looks_at": [2.0, 3.0, 0.0], "horizontal_fov_deg": 48.0}


def sheets():
    def sheet(reflects, *corners):
        return {"reflects": reflects, "corners": [list(map(float, c)) for c in corners]}

    all_of = [
        # a wall behind, a terrace with a roof at the far side, a hoarding
        sheet(0.5, (24, -16, 0), (24, 16, 0), (24, 16, 7), (24, -16, 7)),
        sheet(0.3, (-20, 17, 1), (20, 17, 1), (20, 27, 7), (-20, 27, 7)),
        sheet(0.3, (-20, 17, 0), (20, 17, 0), (20, 17, 1), (-20, 17, 1)),
        sheet(0.4, (-20, 27, 0), (20, 27, 0), (20, 27, 11), (-20, 27, 11)),
        sheet(0.4, (-20, 18, 12), (20, 18, 12), (20, 27, 11), (-20, 27, 11)),
    ]
    # a block on the court
    x0, x1, y0, y1, top = -4, 0, -7, -3, 6
    all_of += [
        sheet(0.6, (x0, y0, 0), (x1, y0, 0), (x1, y0, top), (x0, y0, top)),
        sheet(0.6, (x1, y0, 0), (x1, y1, 0), (x1, y1, top), (x1, y0, top)),
        sheet(0.6, (x1, y1, 0), (x0, y1, 0), (x0, y1, top), (x1, y1, top)),
        sheet(0.6, (x0, y1, 0), (x0, y0, 0), (x0, y0, top), (x0, y1, top)),
        sheet(0.6, (x0, y0, top), (x1, y0, top), (x1, y1, top), (x0, y1, top)),
    ]
    return all_of


def toward_sun():
    a, e = math.radians(SUN["azimuth_deg"]), math.radians(SUN["elevation_deg"])
    return np.array([math.sin(a) * math.cos(e), math.cos(a) * math.cos(e), math.sin(e)])


def sky_luminance(toward):
    a, b, c, d, e = -1, -0.32, 10, -3, 0.45
    z = np.maximum(toward[..., 2], 0.001)
    cosine = np.clip(toward @ toward_sun(), -1, 1)
    chi = np.arccos(cosine)
    f = 1 + c * (np.exp(d * chi) - math.exp(d * math.pi / 2)) + e * cosine**2
    return f * (1 + a * np.exp(b / z))


def environment():
    """Luminances over the sphere: rows from straight up, columns around z."""
    rows, columns = 1024, 2048
    theta = (np.arange(rows) + 0.5) / rows * np.pi
    phi = (np.arange(columns) + 0.5) / columns * 2 * np.pi
    t, p = np.meshgrid(theta, phi, indexing="ij")
    # Mitsuba's map with y up: u grows with atan2(x, -z)
    y, s = np.cos(t), np.sin(t)
    x, z = s * np.sin(p), -s * np.cos(p)
    # turned below by y to z: world = (x, -z, y)
    world = np.stack([x, -z, y], -1)
    luminance = np.where(world[..., 2] > 0, sky_luminance(world), 0.0)
    weight = np.sin(t) * (np.pi / rows) * (2 * np.pi / columns)
    whole = np.sum(luminance * np.maximum(world[..., 2], 0) * weight)
    return (luminance * SKY_LX / whole).astype(np.float32)


def quad(folder, index, corners):
    path = os.path.join(folder, f"{index}.obj")
    with open(path, "w") as out:
        for c in corners:
            out.write("v %.6f %.6f %.6f\n" % tuple(c))
        out.write("f 1 2 3\nf 1 3 4\n")
    return path


def main():
    folder = tempfile.mkdtemp()
    grey = lambda v: {"type": "rgb", "value": [v, v, v]}
    scene = {"type": "scene", "integrator": {"type": "path", "max_depth": 12, "rr_depth": 8}}
    far = 6000.0
    floor = [(-far, -far, 0), (far, -far, 0), (far, far, 0), (-far, far, 0)]
    shapes = [{"reflects": GROUND, "corners": floor}] + sheets()
    for i, sheet in enumerate(shapes):
        scene[f"s{i}"] = {
            "type": "obj",
            "filename": quad(folder, i, sheet["corners"]),
            "face_normals": True,
            "bsdf": {
                "type": "twosided",
                "bsdf": {"type": "diffuse", "reflectance": grey(sheet["reflects"])},
            },
        }
    sun, away = toward_sun(), 50000.0
    radius = away * math.tan(math.radians(0.533 / 2))
    radiance = SUN["direct_normal_lx"] / (math.pi * math.tan(math.radians(0.533 / 2)) ** 2)
    T = mi.ScalarTransform4f
    scene["sun"] = {
        "type": "disk",
        "to_world": T().look_at(origin=list(sun * away), target=[0, 0, 0], up=[0, 0, 1])
        @ T().scale(radius),
        "emitter": {"type": "area", "radiance": grey(radiance)},
    }
    image = np.repeat(environment()[..., None], 3, axis=-1)
    scene["sky"] = {
        "type": "envmap",
        "bitmap": mi.Bitmap(image),
        "to_world": T().rotate([1, 0, 0], 90),
    }
    scene["camera"] = {
        "type": "perspective",
        "fov": CAMERA["horizontal_fov_deg"],
        "fov_axis": "x",
        "to_world": T().look_at(origin=CAMERA["at"], target=CAMERA["looks_at"], up=[0, 0, 1]),
        "film": {
            "type": "hdrfilm",
            "width": SIZE[0],
            "height": SIZE[1],
            "rfilter": {"type": "box"},
            "pixel_format": "luminance",
            "component_format": "float32",
        },
        "sampler": {"type": "stratified", "sample_count": SAMPLES},
    }
    rendered = mi.render(mi.load_dict(scene), spp=SAMPLES)
    values = np.array(rendered).reshape(SIZE[1], SIZE[0])
    print("open ground, middle:", values.mean(), values.min(), values.max())
    data = {
        "made_by": f"mitsuba {mi.__version__}, path, depth 12, {SAMPLES} samples a pixel",
        "size": SIZE,
        "ground_reflects": GROUND,
        "half_m": HALF,
        "sun": SUN,
        "sky_type": SKY_TYPE,
        "diffuse_horizontal_lx": SKY_LX,
        "camera": CAMERA,
        "sheets": sheets(),
        "cd_per_m2": [[float("%.4g" % v) for v in row] for row in values],
    }
    with open("tests/data/view_court.json", "w") as out:
        json.dump(data, out, separators=(",", ":"))


main()
