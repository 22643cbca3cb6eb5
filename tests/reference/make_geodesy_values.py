"""Makes tests/data/geodesy_local.csv and venues/football-demo-outlines.geojson.

Needs Python 3.11, geographiclib 2.1. The values: Geodesic.WGS84.Direct(lat, lon,
azimuth, distance) for distances of 10, 100 and 400 m at several latitudes, next to
the poles and across the date line. The outlines are invented; they stand around
the demo ground, on open farmland.
"""

import csv
import json
import math
import pathlib

import geographiclib
from geographiclib.geodesic import Geodesic

ROOT = pathlib.Path(__file__).resolve().parents[1]
WGS84 = Geodesic.WGS84


def local_values():
    origins = [
        (0.0, 0.0), (0.0, 179.9999), (52.31, -0.42), (-33.9, 151.2), (45.0, -180.0),
        (70.5, 25.7), (-77.85, 166.67), (89.999, 30.0), (-89.9999, -120.0), (12.0, 179.9995),
    ]
    with open(ROOT / "data" / "geodesy_local.csv", "w", newline="") as out:
        out.write(f"# geographiclib {geographiclib.__version__}, "
                  "Geodesic.WGS84.Direct(lat1, lon1, azi1, s12); degrees and metres\n")
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(["lat1", "lon1", "azi1", "s12", "lat2", "lon2"])
        for lat, lon in origins:
            for distance in (10.0, 100.0, 400.0):
                for azimuth in (0.0, 37.0, 90.0, 143.0, 180.0, 222.0, 270.0, 315.0):
                    end = WGS84.Direct(lat, lon, azimuth, distance)
                    rows.writerow([lat, lon, azimuth, distance,
                                   f"{end['lat2']:.13f}", f"{end['lon2']:.13f}"])


CENTRE = (52.31, -0.42)
BEARING = 12.7


def place(along, across):
    """A point in field axes (along the bearing, across to its left) as [lon, lat]."""
    distance = math.hypot(along, across)
    azimuth = BEARING - math.degrees(math.atan2(across, along))
    end = WGS84.Direct(*CENTRE, azimuth, distance)
    return [round(end["lon2"], 9), round(end["lat2"], 9)]


def polygon(*rings):
    return {"type": "Polygon", "coordinates": [
        [place(*p) for p in ring] + [place(*ring[0])] for ring in rings]}


def box(along, across, length, width):
    """Corners of a rectangle by its middle and sides."""
    return [(along - length / 2, across - width / 2), (along + length / 2, across - width / 2),
            (along + length / 2, across + width / 2), (along - length / 2, across + width / 2)]


def feature(number, geometry, **tags):
    return {"type": "Feature", "id": f"way/{number}", "geometry": geometry,
            "properties": {key.replace("__", ":"): value for key, value in tags.items()}}


def outlines():
    point = lambda along, across: {"type": "Point", "coordinates": place(along, across)}
    line = lambda *points: {"type": "LineString", "coordinates": [place(*p) for p in points]}
    return {"type": "FeatureCollection", "features": [
        feature(1, polygon(box(0, 0, 105, 68)), leisure="pitch", sport="soccer",
                name="Umbra Park", ele="38"),
        # a stand as the map has it: one block with a roof
        feature(2, polygon(box(0, 53, 100, 26)), building="grandstand", name="Mill Stand",
                height="19 m"),
        # a court: a building around a yard
        feature(3, polygon(box(10, 120, 60, 40), box(10, 120, 30, 14)), building="school",
                name="Weir School", building__levels="3"),
        # an angled building
        feature(4, polygon([(-90, -60), (-60, -60), (-60, -52), (-78, -52), (-78, -30), (-90, -30)]),
                building="industrial", height="9.5"),
        feature(5, polygon(box(-95, 40, 14, 9)), building="house", height="8.2",
                roof__shape="gabled", roof__height="3.2"),
        feature(6, polygon(box(-95, 60, 14, 9)), building="house", height="8.2",
                roof__shape="hipped", roof__height="3"),
        feature(7, polygon(box(85, -20, 12, 30)), building="warehouse", height="26'",
                roof__shape="skillion", roof__height="2", roof__direction="NE"),
        feature(8, polygon(box(85, 30, 8, 8)), building="kiosk", height="5",
                roof__shape="pyramidal", roof__height="2"),
        feature(9, polygon(box(0, -50, 80, 16)), building="roof", height="9", name="Orchard cover"),
        feature(10, polygon(box(66, 0, 10, 40)), building="yes", min_height="6", height="14"),
        feature(11, point(66, 52), man_made="mast", height="38", diameter="1.2", name="North-west mast"),
        feature(12, point(38, -72), natural="tree", height="18", diameter_crown="11",
                leaf_cycle="deciduous", circumference="1.9"),
        feature(13, point(52, -70), natural="tree", height="16", leaf_type="needleleaved"),
        feature(14, line((-70, -45), (70, -45), (70, -40)), barrier="wall", height="2.4"),
        # what cannot be built, or not exactly
        feature(15, polygon(box(120, 60, 10, 10)), building="yes"),
        feature(16, polygon(box(-120, 0, 12, 12)), building="church", height="21",
                roof__shape="onion", roof__height="6"),
        feature(17, polygon(box(0, 600, 20, 20)), building="yes", height="30"),
        feature(18, line((-80, 70), (80, 75)), highway="service"),
        feature(19, polygon(box(0, -110, 90, 30)), natural="wood", height="15"),
        feature(20, line((-60, 75), (60, 75)), barrier="fence", height="2"),
        feature(21, polygon([(120, -60), (130, -40), (130, -60), (120, -40)]), building="yes",
                height="7"),
    ]}


local_values()
with open(ROOT.parent / "venues" / "football-demo-outlines.geojson", "w") as out:
    head, features = outlines(), outlines()["features"]
    out.write('{"type": "FeatureCollection", "features": [\n')
    out.write(",\n".join(json.dumps(f) for f in features))
    out.write("\n]}\n")
