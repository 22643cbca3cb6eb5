"""Makes tests/data/relief_shapely.json: shadows on a crowned pitch, two planes that meet in a
ridge, with a fall.

Each body is thrown along the sun on either plane, extended, by the line through a point in
space that meets a plane; hulls, unions and intersections are shapely's (GEOS), a
general-purpose geometry library. Areas are those in plan. Needs shapely; the project's tests
read the result and need neither.

Run from the repository's root: python3 tests/reference/make_relief_values.py
"""

import json
import math
import random

import shapely
from shapely.geometry import MultiPoint, Polygon, box
from shapely.ops import unary_union

random.seed(20270611)

LENGTH, WIDTH = 100.0, 70.0


def thrown(point, plane, sun):
    """Where the line through a point along the sun meets z = a x + b y + c, in plan."""
    (x, y, z), (a, b, c), (sx, sy, sz) = point, plane, sun
    t = (z - a * x - b * y - c) / (sz - a * sx - b * sy)
    return (x - t * sx, y - t * sy)


def shadow(body, plane, sun):
    if body["kind"] == "plate":
        return Polygon([thrown(p, plane, sun) for p in body["corners"]])
    # from where it comes out of the plane to its top
    foot = [tuple(p) for p in body["ring"]]
    top = [thrown((x, y, body["top_m"]), plane, sun) for x, y in foot]
    return MultiPoint(foot + top).convex_hull


def prism():
    while True:
        turn, n = random.uniform(0, math.tau), random.choice([3, 4, 6])
        cx, cy = random.uniform(-80, 80), random.uniform(-60, 60)
        radius = random.uniform(2, 12)
        ring = [
            (
                round(cx + radius * math.cos(turn + math.tau * i / n), 3),
                round(cy + radius * math.sin(turn + math.tau * i / n), 3),
            )
            for i in range(n)
        ]
        if not Polygon(ring).intersects(box(-LENGTH / 2, -WIDTH / 2, LENGTH / 2, WIDTH / 2)):
            return {"kind": "prism", "ring": ring, "top_m": round(random.uniform(3, 40), 2)}


def plate():
    turn = random.uniform(0, math.tau)
    cx, cy = 45 * math.cos(turn), 40 * math.sin(turn)
    ax, ay = -math.sin(turn), math.cos(turn)
    length, depth = random.uniform(20, 80), random.uniform(5, 25)
    low, high = sorted((random.uniform(14, 30), random.uniform(14, 30)))
    corner = lambda u, v, z: [round(cx + u * ax - v * ay, 3), round(cy + u * ay + v * ax, 3), z]
    # level along its length, so that rounding to millimetres leaves it nearly plane
    corners = [
        corner(-length / 2, 0, high),
        corner(length / 2, 0, high),
        corner(length / 2, depth, low),
        corner(-length / 2, depth, low),
    ]
    return {"kind": "plate", "corners": corners, "transmittance": random.choice([0.0, 0.4])}


cases = []
while len(cases) < 60:
    crown = round(random.uniform(0.05, 2.0), 3)
    fall = [round(random.uniform(-0.03, 0.03), 4) for _ in range(2)]
    azimuth, elevation = random.uniform(0, 360), random.uniform(8, 60)
    sun = (
        math.sin(math.radians(azimuth)) * math.cos(math.radians(elevation)),
        math.cos(math.radians(azimuth)) * math.cos(math.radians(elevation)),
        math.sin(math.radians(elevation)),
    )
    bodies = [prism() for _ in range(random.randint(1, 3))]
    if random.random() < 0.6:
        bodies.append(plate())
    opaque_m2 = dimmed_m2 = 0.0
    for side in (-1, 1):
        plane = (fall[0], fall[1] - side * crown / (WIDTH / 2), 0.0)
        half = box(-LENGTH / 2, min(0, side * WIDTH / 2), LENGTH / 2, max(0, side * WIDTH / 2))
        dark = [b for b in bodies if b.get("transmittance", 0.0) == 0.0]
        thin = [b for b in bodies if b.get("transmittance", 0.0) > 0.0]
        opaque = unary_union([shadow(b, plane, sun) for b in dark]).intersection(half)
        dimmed = unary_union([shadow(b, plane, sun) for b in thin]) if thin else Polygon()
        opaque_m2 += opaque.area
        dimmed_m2 += dimmed.intersection(half).difference(opaque).area
    cases.append(
        {
            "crown_m": crown,
            "rise": fall,
            "sun_azimuth_deg": azimuth,
            "sun_elevation_deg": elevation,
            "bodies": bodies,
            "opaque_m2": opaque_m2,
            "dimmed_m2": dimmed_m2,
        }
    )

with open("tests/data/relief_shapely.json", "w") as out:
    about = f"shapely {shapely.__version__} (GEOS {shapely.geos_version_string})"
    json.dump({"made_with": about, "field_m": [LENGTH, WIDTH], "cases": cases}, out, indent=1)
    out.write("\n")
