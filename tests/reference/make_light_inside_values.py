"""Illuminance between stands, by a validated lighting simulator.

Writes tests/data/light_inside.json: invented grounds as flat polygons, places on the
turf and upright faces of eight turns, suns and skies, and for each of these the
illuminance in lx that Radiance finds. Run from the top folder:

    pip install pyradiance==1.3.1 numpy==2.4.6
    python3 tests/reference/make_light_inside_values.py

The sky is a CIE standard general sky (ISO 15469:2004, types 12 clear, 13 hazy and 16
overcast), given to Radiance as a brightness function, scaled so that an open
horizontal plane gets the stated illuminance. The sun is a disc of 0.02 degree, so
that shadows are as hard as the places of a hard shadow need. All is grey: a radiance
of 1 / pi stands for a luminance of 1 / pi cd/m2 and irradiances are read as lx.

Calls: oconv; rtrace -I -h -ab 7 -aa 0 -ad 2048 -as 0 -lr -12 -lw 1e-6 -dc 1 -dt 0 -dj 0.
`-aa 0` keeps no cache: every value is a sum over rays of its own, with noise under 1 %.
"""

import json
import math
import os
import subprocess
import sys
import tempfile

import numpy as np
import pyradiance

BIN = os.path.join(os.path.dirname(pyradiance.__file__), "bin")
RTRACE = "-I -h -ab 7 -aa 0 -ad {ad} -as 0 -lr -12 -lw 1e-6 -dc 1 -dt 0 -dj 0"
FACE_M = 1.7
# a and b of the gradation, c, d and e of the indicatrix
SKIES = {12: (-1, -0.32, 10, -3, 0.45), 13: (-1, -0.32, 16, -3, 0.30), 16: None}

# type, sun (azimuth, elevation), direct normal lx, diffuse horizontal lx
CASES = [
    (12, 250, 8, 33000, 6500),
    (12, 120, 18, 62000, 9000),
    (12, 205, 30, 80000, 11500),
    (12, 160, 45, 91000, 13500),
    (12, 190, 60, 96000, 15000),
    (13, 235, 25, 45000, 19000),
    (16, 180, 35, 0, 12300),
]


def sky_luminance(kind, sun, toward):
    """Relative luminance of unit vectors (n, 3)."""
    z = np.maximum(toward[:, 2], 0.001)
    if kind == 16:
        return (1 + 2 * z) / 3
    a, b, c, d, e = SKIES[kind]
    chi = np.arccos(np.clip(toward @ sun, -1, 1))
    f = 1 + c * (np.exp(d * chi) - math.exp(d * math.pi / 2)) + e * np.cos(chi) ** 2
    return f * (1 + a * np.exp(b / z))


def toward_sun(azimuth, elevation):
    a, e = math.radians(azimuth), math.radians(elevation)
    return np.array([math.sin(a) * math.cos(e), math.cos(a) * math.cos(e), math.sin(e)])


def sky_text(case):
    kind, azimuth, elevation, direct, diffuse = case
    sun = toward_sun(azimuth, elevation)
    n, m = 600, 1200
    z = (np.arange(n) + 0.5) / n
    p = 2 * np.pi * (np.arange(m) + 0.5) / m
    zz, pp = np.meshgrid(z, p, indexing="ij")
    r = np.sqrt(1 - zz**2)
    all_of = np.stack([r * np.cos(pp), r * np.sin(pp), zz], -1).reshape(-1, 3)
    whole = np.sum(sky_luminance(kind, sun, all_of) * all_of[:, 2]) * 2 * np.pi / (n * m)
    k = diffuse / whole
    if kind == 16:
        cal = f"sky = {k:.9g} * (1 + 2 * max(Dz, .001)) / 3;\nmax(x, y) : if(x - y, x, y);\n"
    else:
        a, b, c, d, e = SKIES[kind]
        cal = f"""max(x, y) : if(x - y, x, y);
clip(x) : if(x - 1, 1, if(-1 - x, -1, x));
dot = clip(Dx * {sun[0]:.9g} + Dy * {sun[1]:.9g} + Dz * {sun[2]:.9g});
chi = acos(dot);
f = 1 + {c} * (exp({d} * chi) - {math.exp(d * math.pi / 2):.9g}) + {e} * dot * dot;
sky = {k:.9g} * f * (1 + {a} * exp({b} / max(Dz, .001)));
"""
    rad = """void brightfunc skyfunc 2 sky sky.cal 0 0
skyfunc glow sky_glow 0 0 4 1 1 1 0
sky_glow source sky_dome 0 0 4 0 0 1 180
"""
    if direct > 0:
        size = 0.02
        solid = 2 * math.pi * (1 - math.cos(math.radians(size / 2)))
        value = direct / solid
        rad += f"void light sun_light 0 0 3 {value:.9g} {value:.9g} {value:.9g}\n"
        rad += f"sun_light source sun 0 0 4 {sun[0]:.9g} {sun[1]:.9g} {sun[2]:.9g} {size}\n"
    return rad, cal


class Ground:
    """Polygons with reflectance, direct and scattered transmittance."""

    def __init__(self, name, reflectance, half):
        self.name, self.reflectance, self.half = name, reflectance, half
        self.polygons = []

    def add(self, corners, reflectance, direct=0.0, scattered=0.0):
        corners = [[round(v, 4) for v in c] for c in corners]
        self.polygons.append(
            {"reflects": reflectance, "direct": direct, "scattered": scattered, "corners": corners}
        )

    def rad(self):
        rho = self.reflectance
        text = f"void plastic ground 0 0 5 {rho} {rho} {rho} 0 0\n"
        text += "ground polygon floor 0 0 12 -6000 -6000 0 6000 -6000 0 6000 6000 0 -6000 6000 0\n"
        for i, p in enumerate(self.polygons):
            r, t1, t2 = p["reflects"], p["direct"], p["scattered"]
            if t1 + t2 > 0:
                c = r + t1 + t2
                text += f"void trans m{i} 0 0 7 {c} {c} {c} 0 0 {(t1 + t2) / c:.9g} {t1 / (t1 + t2):.9g}\n"
            else:
                text += f"void plastic m{i} 0 0 5 {r} {r} {r} 0 0\n"
            flat = " ".join(f"{v:g}" for c in p["corners"] for v in c)
            text += f"m{i} polygon p{i} 0 0 {3 * len(p['corners'])} {flat}\n"
        return text


def stand(ground, front, out, depth, low, high, roof, tones):
    """A straight stand behind the line `front` (two points), away from the field."""
    deck, wall, soffit = tones
    (ax, ay), (bx, by) = front
    ox, oy = out

    def at(p, back, z):
        return [p[0] + ox * back, p[1] + oy * back, z]

    a, b = (ax, ay), (bx, by)
    ground.add([at(a, 0, 0), at(b, 0, 0), at(b, 0, low), at(a, 0, low)], wall)
    ground.add([at(a, 0, low), at(b, 0, low), at(b, depth, high), at(a, depth, high)], deck)
    ground.add([at(a, depth, 0), at(b, depth, 0), at(b, depth, high + 4), at(a, depth, high + 4)], wall)
    for p in (a, b):
        ground.add([at(p, 0, 0), at(p, depth, 0), at(p, depth, high), at(p, 0, low)], wall)
    if roof:
        reach, direct, scattered = roof
        ends = (depth - reach, high + 6), (depth, high + 4)
        corners = [at(a, *ends[0]), at(b, *ends[0]), at(b, *ends[1]), at(a, *ends[1])]
        ground.add(corners, min(soffit, 0.98 - direct - scattered), direct, scattered)
        # the gap between deck and roof at the ends
        for p in (a, b):
            ground.add([at(p, depth - 5, high - 1), at(p, depth, high), at(p, depth, high + 4)], wall)


def four_stands(name, reflectance, tones, roof=(16, 0.0, 0.0)):
    ground = Ground(name, reflectance, (52.5, 34.0))
    x, y = 58.5, 40.0
    stand(ground, ((-52, y), (52, y)), (0, 1), 26, 1.2, 14, roof, tones)
    stand(ground, ((-52, -y), (52, -y)), (0, -1), 30, 1.2, 17, roof, tones)
    stand(ground, ((x, -32), (x, 32)), (1, 0), 16, 1.2, 8, None, tones)
    stand(ground, ((-x, -32), (-x, 32)), (-1, 0), 20, 1.2, 10, roof and (12, *roof[1:]), tones)
    return ground


def bowl(name, reflectance, tones, roof, segments=40):
    ground = Ground(name, reflectance, (52.5, 34.0))
    deck, wall, soffit = tones

    def at(i, out, z):
        angle = 2 * math.pi * (i % segments) / segments
        c, s = math.cos(angle), math.sin(angle)
        power = 2 / 4.0
        scale = 1 + out / 60
        x = 63 * scale * math.copysign(abs(c) ** power, c)
        y = 44 * scale * math.copysign(abs(s) ** power, s)
        return [x, y, z]

    for i in range(segments):
        j = i + 1
        ground.add([at(i, 0, 0), at(j, 0, 0), at(j, 0, 1.3), at(i, 0, 1.3)], wall)
        ground.add([at(i, 0, 1.3), at(j, 0, 1.3), at(j, 30, 20), at(i, 30, 20)], deck)
        ground.add([at(i, 30, 0), at(j, 30, 0), at(j, 30, 25), at(i, 30, 25)], wall)
        direct, scattered = roof
        corners = [at(i, 8, 27), at(j, 8, 27), at(j, 30, 25), at(i, 30, 25)]
        ground.add(corners, min(soffit, 0.98 - direct - scattered), direct, scattered)
    return ground


def sensors(ground):
    """Turf places, then places of faces; x, y in metres."""
    hx, hy = ground.half
    turf = [
        [round(x * hx, 2), round(y * hy, 2)]
        for x in (-0.96, -0.55, 0.05, 0.5, 0.97)
        for y in (-0.97, -0.5, 0.1, 0.6, 0.96)
    ]
    # around the field of play, up to a metre from the stands
    turf += [[x, y] for x in (-40.0, 0.0, 33.0) for y in (-38.8, -36.0, 36.5, 38.6)]
    turf += [[x, y] for x in (-57.0, -54.5, 55.0, 57.3) for y in (-20.0, 11.0)]
    faces = [
        [0.0, 0.0], [-50.0, 30.0], [48.0, -31.0], [10.0, 33.5], [-20.0, -33.6], [51.9, 8.0],
        [-52.0, -12.0], [25.0, 15.0], [-30.0, -18.0], [5.0, 37.5], [-35.0, -38.0], [56.5, -6.0],
    ]
    return turf, faces


def turns():
    return [(math.sin(math.radians(45 * k)), math.cos(math.radians(45 * k))) for k in range(8)]


def rays(turf, faces):
    lines = [f"{x} {y} .005 0 0 1" for x, y in turf]
    for x, y in faces:
        lines += [f"{x} {y} {FACE_M} {a:.9g} {b:.9g} 0" for a, b in turns()]
    return "\n".join(lines) + "\n"


def run(ground, case, points, ad):
    with tempfile.TemporaryDirectory() as folder:
        def write(name, text):
            with open(os.path.join(folder, name), "w") as file:
                file.write(text)

        sky, cal = sky_text(case)
        write("sky.cal", cal)
        write("all.rad", sky + ground.rad())
        env = dict(os.environ, RAYPATH=f".:{os.path.dirname(pyradiance.__file__)}/lib")
        with open(os.path.join(folder, "all.oct"), "wb") as file:
            subprocess.run([f"{BIN}/oconv", "-w", "all.rad"], cwd=folder, stdout=file, check=True, env=env)
        out = subprocess.run(
            [f"{BIN}/rtrace", *RTRACE.format(ad=ad).split(), "all.oct"],
            cwd=folder, input=points, capture_output=True, text=True, check=True, env=env,
        ).stdout
    return [round(float(line.split()[0]), 1) for line in out.splitlines() if line.strip()]


def grounds():
    usual, pale = (0.2, 0.3, 0.4), (0.6, 0.65, 0.7)
    return [
        four_stands("four stands", 0.1, usual),
        bowl("bowl, opaque roof", 0.1, usual, (0.0, 0.0)),
        bowl("bowl, clear roof", 0.1, usual, (0.4, 0.0)),
        bowl("bowl, scattering roof", 0.1, usual, (0.08, 0.32)),
        four_stands("four pale stands on sand", 0.42, pale),
    ]


def main():
    ad = int(sys.argv[1]) if len(sys.argv) > 1 else 2048
    target = sys.argv[2] if len(sys.argv) > 2 else "tests/data/light_inside.json"
    result = {
        "made_by": f"pyradiance {pyradiance.__version__ if hasattr(pyradiance, '__version__') else '1.3.1'}; "
        f"oconv; rtrace {RTRACE.format(ad=ad)}",
        "grounds": [],
    }
    for ground in grounds():
        turf, faces = sensors(ground)
        points = rays(turf, faces)
        cases = []
        for case in CASES:
            values = run(ground, case, points, ad)
            print(ground.name, case, values[:3], flush=True)
            kind, azimuth, elevation, direct, diffuse = case
            cases.append(
                {
                    "sky_type": kind, "sun_azimuth_deg": azimuth, "sun_elevation_deg": elevation,
                    "direct_normal_lx": direct, "diffuse_horizontal_lx": diffuse,
                    "turf_lx": values[: len(turf)],
                    "faces_lx": [values[len(turf) + 8 * i :][:8] for i in range(len(faces))],
                }
            )
        result["grounds"].append(
            {
                "name": ground.name, "reflects": ground.reflectance, "half_m": ground.half,
                "polygons": ground.polygons, "turf": turf, "faces": faces, "cases": cases,
            }
        )
    with open(target, "w") as file:
        file.write(json.dumps(result, separators=(",", ":")).replace("},{", "},\n{") + "\n")


if __name__ == "__main__":
    main()
