"""Makes tests/data/shadow_shapely.json: shadows of prisms and plates.

Areas come from shapely (GEOS), a general-purpose geometry library, with its own
hulls, unions and intersections in floating point. Needs shapely and numpy; the
project's tests read the result and need neither.

Run from the repository's root: python3 tests/reference/make_shadow_values.py
"""

import json
import math
import random

import shapely
from shapely.geometry import MultiPoint, Polygon, box
from shapely.ops import unary_union

random.seed(20270417)


def shadow(points, height, sun_az, sun_el, convex):
    """Shadow on the plane at `height` of what stands above it (x east, y north)."""
    reach = 1 / math.tan(math.radians(sun_el))
    east, north = math.sin(math.radians(sun_az)), math.cos(math.radians(sun_az))
    flat = [
        (x - (z - height) * reach * east, y - (z - height) * reach * north)
        for x, y, z in points
    ]
    return MultiPoint(flat).convex_hull if convex else Polygon(flat)


def prism(kind):
    turn, n = random.uniform(0, math.tau), random.choice([3, 4, 6, 9])
    distance = random.uniform(40, 95)
    cx, cy = distance * math.cos(turn), distance * math.sin(turn)
    radius, top = random.uniform(2, 18), random.uniform(3, 40)
    start = random.uniform(0, math.tau)
    ring = [
        (
            round(cx + radius * math.cos(start + math.tau * i / n), 3),
            round(cy + radius * math.sin(start + math.tau * i / n), 3),
        )
        for i in range(n)
    ]
    return {"kind": kind, "ring": ring, "bottom_m": 0.0, "top_m": round(top, 2)}


def plate():
    """A level roof plate, raked plates come from tilting it about its first edge."""
    turn = random.uniform(0, math.tau)
    distance = random.uniform(30, 80)
    cx, cy = distance * math.cos(turn), distance * math.sin(turn)
    length, depth = random.uniform(10, 90), random.uniform(5, 30)
    low, high = sorted((random.uniform(8, 30), random.uniform(8, 30)))
    ax, ay = -math.sin(turn), math.cos(turn)
    bx, by = math.cos(turn), math.sin(turn)
    corner = lambda u, v, z: (cx + u * ax + v * bx, cy + u * ay + v * by, z)
    corners = [
        corner(-length / 2, 0, high),
        corner(length / 2, 0, high),
        corner(length / 2, depth, low),
        corner(-length / 2, depth, low),
    ]
    return {"kind": "plate", "corners": corners, "transmittance": random.choice([0.0, 0.0, 0.35, 0.6])}


def shape(body, height, az, el):
    if body["kind"] == "plate":
        return shadow(body["corners"], height, az, el, convex=False)
    points = [(x, y, z) for x, y in body["ring"] for z in (max(body["bottom_m"], height), body["top_m"])]
    return shadow(points, height, az, el, convex=True)


def case(index):
    bodies = [prism("prism") for _ in range(random.randint(1, 6))] + [plate() for _ in range(random.randint(0, 5))]
    length, width = random.choice([(105, 68), (100, 70), (23.77, 10.97), (91.4, 55)])
    az, el = round(random.uniform(0, 360), 4), round(random.uniform(2, 70), 4)
    height = random.choice([0.0, 1.7])
    field = box(-length / 2, -width / 2, length / 2, width / 2)
    opaque = unary_union([shape(b, height, az, el) for b in bodies if b.get("transmittance", 0) == 0]).intersection(field)
    # transmission: lay the translucent shadows over one another, cell by cell
    cells = [(1.0, field.difference(opaque))]
    for body in bodies:
        t = body.get("transmittance", 0)
        if t > 0:
            cover = shape(body, height, az, el)
            cells = [
                (u * (t if inside else 1.0), part)
                for u, cell in cells
                for inside, part in ((True, cell.intersection(cover)), (False, cell.difference(cover)))
                if part.area > 0
            ]
    lit = sum(part.area for u, part in cells if u == 1.0)
    transmission = sum(u * part.area for u, part in cells) / field.area
    return {
        "field_m": [length, width],
        "height_m": height,
        "sun_azimuth_deg": az,
        "sun_elevation_deg": el,
        "bodies": bodies,
        "opaque_m2": opaque.area,
        "shaded_m2": field.area - lit,
        "mean_transmission": transmission,
    }


cases = []
index = 0
while len(cases) < 120:
    made = case(index)
    index += 1
    # keep cases where the shadow takes some of the field
    if 0 < made["shaded_m2"] < made["field_m"][0] * made["field_m"][1]:
        cases.append(made)

with open("tests/data/shadow_shapely.json", "w") as out:
    json.dump(
        {
            "source": f"shapely {shapely.__version__}, GEOS {shapely.geos_version_string}; "
            "tests/reference/make_shadow_values.py, seed 20270417; bodies are invented",
            "axes": "x east, y north, z up, metres; field centred on the origin, long side along x",
            "cases": cases,
        },
        out,
        indent=1,
    )
print(len(cases), "cases of", index)
