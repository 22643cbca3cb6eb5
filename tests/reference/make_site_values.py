"""Makes tests/data/site_shapely.json: shadows on two fields of one site.

The scene is tests/data/site_fields.toml, read and put together here by its own trigonometry;
areas come from shapely (GEOS), a general-purpose geometry library, with its own hulls, unions
and intersections. Trees are left out. Needs shapely; the project's tests read the result and
need neither.

Run from the repository's root: python3 tests/reference/make_site_values.py
"""

import json
import math
import tomllib
from pathlib import Path

import shapely
from shapely import affinity
from shapely.geometry import MultiPoint, Polygon, box
from shapely.ops import unary_union

ROOT = Path(__file__).resolve().parents[2]
SITE = tomllib.loads((ROOT / "tests/data/site_fields.toml").read_text())
# ITF Rules of Tennis, rule 1: for doubles
LENGTH_M, WIDTH_M = 23.77, 10.97


def east_north(along, across, bearing_deg):
    """`along` points to the bearing, `across` a quarter turn to its left."""
    b = math.radians(bearing_deg)
    return (
        along * math.sin(b) + across * math.sin(b - math.pi / 2),
        along * math.cos(b) + across * math.cos(b - math.pi / 2),
    )


def centre(field):
    return east_north(*field["at"], SITE["site"]["bearing_deg"])


def bodies(table, bearing_deg, origin):
    """Groups of corners over the ground of the site, each a convex hull."""

    def place(p):
        x, y = east_north(p[0], p[1], bearing_deg)
        return (x + origin[0], y + origin[1], p[2])

    for solid in table.get("solid", []):
        yield [place((*p, z)) for p in solid["footprint"] for z in (0, solid["top_m"])]
    for panel in table.get("panel", []):
        yield [place(p) for p in panel["corners"]]
    for stand in table.get("stand", []):
        assert stand["side"] == "left"
        front = WIDTH_M / 2 + stand["setback_m"]
        back = front + stand["depth_m"]
        ends = [stand["shift_m"] - stand["length_m"] / 2, stand["shift_m"] + stand["length_m"] / 2]
        roof = stand["roof"]
        deck = [(front, 0), (front, stand["front_height_m"]), (back, stand["back_height_m"]), (back, 0)]
        wall = [(back, stand["back_height_m"]), (back, roof["back_height_m"] - roof["gap_m"])]
        plate = [(front - roof["overhang_m"], roof["front_height_m"]), (back, roof["back_height_m"])]
        for section in (deck, wall, plate):
            yield [place((along, across, up)) for along in ends for across, up in section]


def everything():
    yield from bodies(SITE, SITE["site"]["bearing_deg"], (0, 0))
    for field in SITE["field"]:
        yield from bodies(field, field["bearing_deg"], centre(field))


def shadow(points, azimuth_deg, elevation_deg):
    reach = 1 / math.tan(math.radians(elevation_deg))
    away = (-math.sin(math.radians(azimuth_deg)) * reach, -math.cos(math.radians(azimuth_deg)) * reach)
    return MultiPoint([(x + z * away[0], y + z * away[1]) for x, y, z in points]).convex_hull


def court(field):
    across = field["bearing_deg"]
    rectangle = box(-WIDTH_M / 2, -LENGTH_M / 2, WIDTH_M / 2, LENGTH_M / 2)
    turned = affinity.rotate(rectangle, -across, origin=(0, 0))
    return affinity.translate(turned, *centre(field))


cases = []
for azimuth in range(0, 360, 15):
    for elevation in (6.0, 14.0, 27.0, 48.0):
        shade = unary_union([shadow(b, azimuth, elevation) for b in everything()])
        areas = [shade.intersection(court(field)).area for field in SITE["field"]]
        cases.append({"sun": [azimuth, elevation], "shade_m2": [round(a, 6) for a in areas]})
lines = ",\n".join(json.dumps(case) for case in cases)
text = f'{{"shapely": "{shapely.__version__}", "cases": [\n{lines}\n]}}'
(ROOT / "tests/data/site_shapely.json").write_text(text + "\n")
print(len(cases), "cases", sum(0 < a for c in cases for a in c["shade_m2"]), "with shade")
