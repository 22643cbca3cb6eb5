"""Makes tests/data/outline_values.json.

Needs Python 3.11, geographiclib 2.1, shapely 2.2.0. Invented buildings beside an
invented field, as GeoJSON features, and the areas of their shadows on it: faces
projected one by one and joined, or the hull of the corners where the body is convex.
Invented fields of play, skewed and notched, and the rectangle of least area around
them (shapely.minimum_rotated_rectangle).
"""

import json
import math
import pathlib
import random

import geographiclib
import shapely
import shapely.affinity
from geographiclib.geodesic import Geodesic
from shapely.affinity import translate
from shapely.geometry import MultiPoint, Polygon, box as rectangle

DATA = pathlib.Path(__file__).resolve().parents[1] / "data"
CENTRE, BEARING = (-36.5, 148.25), 63.4
FIELD = rectangle(-150, -150, 150, 150)


def place(centre, bearing, along, across):
    distance = math.hypot(along, across)
    azimuth = bearing - math.degrees(math.atan2(across, along))
    end = Geodesic.WGS84.Direct(*centre, azimuth, distance)
    return [round(end["lon2"], 10), round(end["lat2"], 10)]


def ring(points):
    points = [place(CENTRE, BEARING, *p) for p in points]
    return points + points[:1]


def step(azimuth, elevation):
    """Shift of a shadow for each metre of height, in field axes."""
    turn = math.radians(azimuth - BEARING)
    length = 1 / math.tan(math.radians(elevation))
    # away from the sun: along is the bearing, across to its left
    return -length * math.cos(turn), length * math.sin(turn)


def of_prism(polygon, bottom, top, shift):
    """Union of all projected faces of a prism, holes and all."""
    low = translate(polygon, shift[0] * bottom, shift[1] * bottom)
    high = translate(polygon, shift[0] * top, shift[1] * top)
    faces = [low, high]
    for loop in [polygon.exterior, *polygon.interiors]:
        for p, q in zip(loop.coords, loop.coords[1:]):
            at = lambda c, up: (c[0] + shift[0] * up, c[1] + shift[1] * up)
            face = Polygon([at(p, bottom), at(q, bottom), at(q, top), at(p, top)])
            if face.is_valid and face.area > 0:
                faces.append(face)
    return shapely.union_all(faces)


def of_corners(corners, shift):
    return MultiPoint([(x + shift[0] * z, y + shift[1] * z) for x, y, z in corners]).convex_hull


def case(name, outer, holes, tags, shadow):
    suns = []
    for turn in (-35, -12, 0, 8, 31):
        for elevation in (9, 17, 34):
            # from the left of the field
            azimuth = (BEARING - 90 + turn) % 360
            area = shadow(step(azimuth, elevation)).intersection(FIELD).area
            suns.append([azimuth, elevation, round(area, 4)])
    geometry = {"type": "Polygon", "coordinates": [ring(outer)] + [ring(h) for h in holes]}
    feature = {"type": "Feature", "id": name, "properties": tags, "geometry": geometry}
    return {"feature": feature, "suns": suns}


def cases():
    box = lambda x, y, l, w: [(x - l / 2, y - w / 2), (x + l / 2, y - w / 2),
                              (x + l / 2, y + w / 2), (x - l / 2, y + w / 2)]
    court, yards = box(-20, 185, 90, 50), [box(-40, 185, 30, 20), box(5, 188, 24, 12)]
    court_shadow = lambda s: of_prism(Polygon(court, yards), 0, 18, s)
    yield case("court", court, yards, {"building": "yes", "height": "18"}, court_shadow)
    hook = [(0, 160), (60, 160), (60, 166), (8, 166), (8, 190), (40, 190), (40, 196), (0, 196)]
    yield case("hook", hook, [], {"building": "yes", "height": "21.5 m", "min_height": "4"},
               lambda s: of_prism(Polygon(hook), 4, 21.5, s))
    house = box(10, 175, 24, 12)
    low = [(x, y, z) for x, y in house for z in (0, 9)]
    roofed = {"building": "house", "height": "15", "roof:height": "6"}
    # ridge along the longer side, from gable to gable
    yield case("gabled", house, [], roofed | {"roof:shape": "gabled"},
               lambda s: of_corners(low + [(-2, 175, 15), (22, 175, 15)], s))
    # ridge across
    yield case("across", house, [],
               roofed | {"roof:shape": "gabled", "roof:orientation": "across"},
               lambda s: of_corners(low + [(10, 169, 15), (10, 181, 15)], s))
    # hips as steep as the sides: the ridge ends half a width inside
    yield case("hipped", house, [], roofed | {"roof:shape": "hipped"},
               lambda s: of_corners(low + [(4, 175, 15), (16, 175, 15)], s))
    yield case("pyramidal", house, [], roofed | {"roof:shape": "pyramidal"},
               lambda s: of_corners(low + [(10, 175, 15)], s))
    # falls along the bearing: high behind, low ahead
    yield case("skillion", house, [],
               roofed | {"roof:shape": "skillion", "roof:direction": str(BEARING)},
               lambda s: of_corners(low + [(-2, 169, 15), (-2, 181, 15)], s))
    # a plate hangs over nothing
    yield case("cover", house, [], {"building": "roof", "height": "12"},
               lambda s: of_corners([(x, y, 12) for x, y in house], s))


def tied(local):
    """Whether two rectangles along sides of the hull have the same least area."""
    hull = Polygon(local).convex_hull.exterior.coords
    areas = []
    for p, q in zip(hull, hull[1:]):
        turned = shapely.affinity.rotate(
            Polygon(local), -math.degrees(math.atan2(q[1] - p[1], q[0] - p[0])), origin=(0, 0))
        x0, y0, x1, y1 = turned.bounds
        areas.append((x1 - x0) * (y1 - y0))
    areas.sort()
    return areas[1] - areas[0] < 0.1


def fields():
    dice = random.Random(20)
    for i in range(30):
        centre = (dice.uniform(-75, 75), dice.choice([dice.uniform(-180, 180), 179.9997]))
        bearing = dice.uniform(0, 180)
        length, width = dice.uniform(90, 120), dice.uniform(45, 85)
        shake = lambda: dice.uniform(-1.5, 1.5)
        x, y = length / 2, width / 2
        corners = [(-x + shake(), -y + shake()), (x + shake(), -y + shake()),
                   (x + shake(), shake()), (x + shake(), y + shake()), (-x + shake(), y + shake())]
        local = []
        for along, across in corners:
            turn = math.radians(bearing) - math.atan2(across, along)
            r = math.hypot(along, across)
            local.append((r * math.sin(turn), r * math.cos(turn)))
        if tied(local):
            continue
        rect = shapely.minimum_rotated_rectangle(Polygon(local)).exterior.coords
        sides = [(rect[k + 1][0] - rect[k][0], rect[k + 1][1] - rect[k][1]) for k in (0, 1)]
        long, short = sorted(sides, key=lambda s: -math.hypot(*s))
        middle = ((rect[0][0] + rect[2][0]) / 2, (rect[0][1] + rect[2][1]) / 2)
        at = Geodesic.WGS84.Direct(*centre, math.degrees(math.atan2(*middle)), math.hypot(*middle))
        points = [place(centre, bearing, *c) for c in corners]
        yield {
            "ring": points + points[:1],
            "centre": [at["lat2"], at["lon2"]],
            "bearing_deg": math.degrees(math.atan2(*long)) % 180,
            "length_m": math.hypot(*long),
            "width_m": math.hypot(*short),
        }


with open(DATA / "outline_values.json", "w") as out:
    json.dump({
        "made_with": f"shapely {shapely.__version__}, geographiclib {geographiclib.__version__}",
        "centre": CENTRE, "bearing_deg": BEARING,
        "cases": list(cases()), "fields": list(fields()),
    }, out, indent=1)
    out.write("\n")
