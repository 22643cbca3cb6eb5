"""Makes tests/data/terrain_degrees.tif, terrain_utm.tif and terrain_skyline.csv.

Needs Python 3.11, numpy 2.4.6, tifffile 2026.3.3, pyproj 3.7.2.
The land is invented: a ridge and two hills around the demo ground, by the formula
`land`, which the test holds as well. The skyline is made point by point of a bilinear
grid eight times as fine, each with the distance and azimuth of pyproj.Geod.inv and the handbook's correction for
curvature and refraction, (1 - k) s^2 / 2R with k = 0.13: the highest angle in each
sector of 2 degrees.
"""

import csv
import math
import pathlib

import numpy as np
import pyproj
import tifffile

DATA = pathlib.Path(__file__).resolve().parents[1] / "data"
CENTRE = (52.31, -0.42)
EYE_M = 1.7
NEAR_M, FAR_M = 300.0, 6500.0
SOUTH, NORTH, WEST, EAST = 52.2, 52.4, -0.525, -0.315


def land(lat, lon):
    ridge = 180.0 * np.exp(-(((lat - 52.365) / 0.008) ** 2))
    hill = lambda at, on, up, wide: up * np.exp(
        -(((lat - at) ** 2 + (0.61 * (lon - on)) ** 2) / wide ** 2))
    return 40.0 + ridge + hill(52.29, -0.48, 220.0, 0.006) + hill(52.275, -0.39, 120.0, 0.01)


def geokeys(*entries):
    flat = [1, 1, 0, len(entries)]
    for key, value in entries:
        flat += [key, 0, 1, value]
    return flat


def write(name, heights, scale, corner, keys, nodata):
    tags = [
        (33550, "d", 3, (scale[0], scale[1], 0.0), False),
        (33922, "d", 6, (0.0, 0.0, 0.0, corner[0], corner[1], 0.0), False),
        (34735, "H", len(keys), tuple(keys), False),
        (42113, "s", 0, nodata, False),
    ]
    tifffile.imwrite(DATA / name, heights, photometric="minisblack", compression="zlib",
                     predictor=True, rowsperstrip=64, extratags=tags, metadata=None,
                     software=False)


def degrees():
    """Posts of 3 arc-seconds, as a tile of SRTM has them, signed 16 bit."""
    rows = round((NORTH - SOUTH) * 1200) + 1
    columns = round((EAST - WEST) * 1200) + 1
    lat = NORTH - np.arange(rows)[:, None] / 1200.0
    lon = WEST + np.arange(columns)[None, :] / 1200.0
    heights = np.rint(land(lat, lon)).astype(np.int16)
    heights[3:6, 5:9] = -32768
    # model geographic, raster of points, WGS 84, degrees
    keys = geokeys((1024, 2), (1025, 2), (2048, 4326), (2054, 9102))
    write("terrain_degrees.tif", heights, (1 / 1200, 1 / 1200), (WEST, NORTH), keys, "-32768")
    return lat, lon, np.rint(land(lat, lon))


def utm():
    """Cells of 100 m in zone 30 north, single precision."""
    to_utm = pyproj.Transformer.from_crs(4326, 32630, always_xy=True)
    east, north = to_utm.transform(CENTRE[1], CENTRE[0])
    left, top, cell = round(east, -2) - 7000, round(north, -2) + 7000, 100.0
    n = 141
    x = left + (np.arange(n)[None, :] + 0.5) * cell
    y = top - (np.arange(n)[:, None] + 0.5) * cell
    lon, lat = to_utm.transform(*np.broadcast_arrays(x, y), direction="INVERSE")
    keys = geokeys((1024, 1), (1025, 1), (3072, 32630), (3076, 9001))
    heights = land(lat, lon).round(1).astype(np.float32)
    write("terrain_utm.tif", heights, (cell, cell), (left, top), keys, "-9999")


def finer(heights, times):
    """Bilinear between posts."""
    def along(grid):
        share = (np.arange(times) / times)[None, :, None]
        mixed = grid[:-1, None, :] * (1 - share) + grid[1:, None, :] * share
        return np.vstack([mixed.reshape(-1, grid.shape[1]), grid[-1:]])
    return along(along(heights).T).T


def skyline(lat, lon, heights, times=8):
    a, f = 6378137.0, 1 / 298.257223563
    e2 = f * (2 - f)
    radius = a * math.sqrt(1 - e2) / (1 - e2 * math.sin(math.radians(CENTRE[0])) ** 2)
    eye = float(land(*CENTRE)) + EYE_M
    heights = finer(heights, times)
    lat = np.linspace(lat[0, 0], lat[-1, 0], heights.shape[0])
    lon = np.linspace(lon[0, 0], lon[0, -1], heights.shape[1])
    geod = pyproj.Geod(ellps="WGS84")
    best = np.full(180, -90.0)
    for i, at in enumerate(lat):
        same = np.full_like(lon, at)
        azimuth, _, s = geod.inv(np.full_like(lon, CENTRE[1]), np.full_like(lon, CENTRE[0]),
                                 lon, same)
        up = heights[i] - eye - (1 - 0.13) * s * s / (2 * radius)
        elevation = np.degrees(np.arctan2(up, s))
        seen = (s >= NEAR_M) & (s <= FAR_M)
        sector = ((azimuth % 360.0) // 2.0).astype(int)
        np.maximum.at(best, sector[seen], elevation[seen])
    with open(DATA / "terrain_skyline.csv", "w", newline="") as out:
        out.write(f"# pyproj {pyproj.__version__}, Geod.inv; highest point in each sector of 2 "
                  "degrees, 300 to 6500 m, k = 0.13\n")
        rows = csv.writer(out, lineterminator="\n")
        rows.writerow(["from_deg", "elevation_deg"])
        for sector, elevation in enumerate(best):
            rows.writerow([2 * sector, f"{elevation:.4f}"])


utm()
skyline(*degrees())
