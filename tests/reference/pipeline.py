"""A straightforward pipeline for the shadow of an instant, to be compared in speed.

Not needed by the tests. pvlib tells the sun; numpy throws all corners at once and leaves
out what misses the field; shapely (GEOS) makes outlines and joins them. The ground is the
bowl of `tests/support`: a ring of segments around a football field, each a deck (eight
corners), a back wall and a roof that lets 40 % through, so three bodies a segment. Outputs
of an instant: opaque and translucent shadow polygons on the field, share in opaque shade,
mean transmission.

    pip install pvlib shapely numpy
    python3 tests/reference/pipeline.py [segments]

171 segments are 513 bodies. It first works out eight suns and a year here, then runs
`cargo bench --bench pipeline` on the same ground, says how far the shares of both lie
apart and how the times compare. Run it on a machine that does nothing else.
"""

import math
import subprocess
import sys
import time

import numpy as np
import pandas as pd
import pvlib
import shapely

SUNS = [(180, 46), (200, 44), (220, 38), (235, 31), (248, 23), (259, 15), (269, 8), (276, 3)]
THROUGH = 0.4
BEARING_DEG = 20.0
LATITUDE_DEG, LONGITUDE_DEG, HEIGHT_M = 52.0, -0.5, 50.0
# Days of the year that are worked out here; the other program does all.
EVERY_DAYS = 15
FIELD = shapely.box(-52.5, -34.0, 52.5, 34.0)


def bowl(segments):
    """Corners of decks and walls (hulled) and of roofs, field axes, metres."""

    def at(i, out, up):
        angle = math.tau * (i % segments) / segments
        scale = 1 + out / 57
        return (66 * scale * math.cos(angle), 48 * scale * math.sin(angle), up)

    solids, roofs = [], []
    for i in range(segments):
        j = i + 1
        deck = [at(i, 0, 0), at(i, 32, 0), at(j, 32, 0), at(j, 0, 0)]
        deck += [at(i, 0, 1.5), at(i, 32, 22), at(j, 32, 22), at(j, 0, 1.5)]
        wall = [at(i, 32, 22), at(j, 32, 22), at(j, 32, 29), at(i, 32, 29)]
        solids += [deck, wall + wall]
        roofs.append([at(i, 4, 31), at(i, 32, 29), at(j, 32, 29), at(j, 4, 31)])
    return np.array(solids), np.array(roofs)


def flat(corners, azimuth_deg, elevation_deg):
    """Corners thrown onto the turf; x along the field, y across it to the left."""
    turn = math.radians(azimuth_deg - BEARING_DEG)
    reach = 1 / math.tan(math.radians(elevation_deg))
    along, across = math.cos(turn) * reach, -math.sin(turn) * reach
    z = corners[..., 2]
    return np.stack([corners[..., 0] - z * along, corners[..., 1] - z * across], axis=-1)


def reaching(shadows):
    """Those whose box meets that of the field."""
    low, high = shadows.min(axis=1), shadows.max(axis=1)
    x0, y0, x1, y1 = FIELD.bounds
    return shadows[
        (low[:, 0] < x1) & (high[:, 0] > x0) & (low[:, 1] < y1) & (high[:, 1] > y0)
    ]


def on_field(shadows):
    """Pieces on the field only: the rest get smaller."""
    pieces = shapely.clip_by_rect(shadows, *FIELD.bounds)
    return pieces[shapely.area(pieces) > 0]


def instant(solids, roofs, azimuth_deg, elevation_deg):
    corners = reaching(flat(solids, azimuth_deg, elevation_deg))
    opaque = shapely.union_all(on_field(shapely.convex_hull(shapely.linestrings(corners))))
    plates = shapely.polygons(reaching(flat(roofs, azimuth_deg, elevation_deg)))
    dimmed = shapely.difference(shapely.union_all(on_field(plates)), opaque)
    share = opaque.area / FIELD.area
    return opaque, dimmed, share, 1 - share - (1 - THROUGH) * dimmed.area / FIELD.area


def one_instant(solids, roofs):
    """Seconds for an instant, mean of all suns."""
    rounds = 40
    began = time.perf_counter()
    for _ in range(rounds):
        for sun in SUNS:
            instant(solids, roofs, *sun)
    return (time.perf_counter() - began) / (rounds * len(SUNS))


def year(solids, roofs):
    """Instants with the sun up and seconds for them, sun and shadow."""
    days = pd.date_range("2027-01-01", "2027-12-31", freq=f"{EVERY_DAYS}D", tz="UTC")
    began, instants = time.perf_counter(), 0
    for day in days:
        times = pd.date_range(day, periods=288, freq="5min")
        sun = pvlib.solarposition.get_solarposition(
            times, LATITUDE_DEG, LONGITUDE_DEG, altitude=HEIGHT_M
        )
        for azimuth, elevation in zip(sun["azimuth"], sun["apparent_elevation"]):
            if elevation > 0:
                instant(solids, roofs, azimuth, elevation)
                instants += 1
    return instants, time.perf_counter() - began


def ours(segments):
    """What the other program prints: words and numbers, a line each."""
    command = ["cargo", "bench", "--quiet", "--bench", "pipeline", "--", str(segments)]
    text = subprocess.run(command, check=True, capture_output=True, text=True).stdout
    lines = [line.split() for line in text.splitlines()]
    return {words[0]: [float(word) for word in words[1:]] for words in lines if words}


def main():
    segments = int(sys.argv[1]) if len(sys.argv) > 1 else 171
    solids, roofs = bowl(segments)
    theirs = ours(segments)
    for index, sun in enumerate(SUNS):
        _, _, share, through = instant(solids, roofs, *sun)
        other = theirs[f"sun-{index}"]
        print(f"sun {sun}: opaque {share:.4f}, mean transmission {through:.4f};", end=" ")
        print(f"difference {other[0] - share:+.6f}, {other[1] - through:+.6f}")
    each = one_instant(solids, roofs)
    instants, seconds = year(solids, roofs)
    print(f"{segments} segments, an instant: {each * 1e3:.2f} ms here,", end=" ")
    print(f"{theirs['instant-us'][0]:.1f} us there: {each * 1e6 / theirs['instant-us'][0]:.0f} times")
    print(f"an instant of a year, sun and shadow: {seconds / instants * 1e3:.2f} ms here;", end=" ")
    for cores in (1, 2):
        all_instants, all_seconds = theirs[f"year-{cores}"]
        there = all_seconds / all_instants
        print(f"{there * 1e6:.1f} us on {cores} there:", end=" ")
        print(f"{seconds / instants / there:.0f} times", end="\n" if cores == 2 else "; ")


if __name__ == "__main__":
    main()
