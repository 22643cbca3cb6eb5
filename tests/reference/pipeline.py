"""A straightforward pipeline for the shadow of an instant, to be compared in speed.

Not needed by the tests. pvlib tells the sun, shapely (GEOS) joins shadows; numpy does the
projection of all corners at once. The ground is the bowl of `tests/support`: a ring of
segments around a football field, each a deck (eight corners), a back wall and a roof that
lets 40 % through. Outputs of an instant: opaque and translucent shadow polygons on the
field, share in opaque shade, mean transmission.

    pip install pvlib shapely numpy
    python3 tests/reference/pipeline.py [segments]

Suns are those of `tests/benches/shadow.rs`; the shares are printed with the times, so that
both can be seen to do the same work (`cargo bench --bench shadow -- shares`).
"""

import math
import sys
import time

import numpy as np
import pandas as pd
import pvlib
import shapely

SUNS = [(180, 46), (200, 44), (220, 38), (235, 31), (248, 23), (259, 15), (269, 8), (276, 3)]
THROUGH = 0.4
BEARING_DEG = float(sys.argv[2]) if len(sys.argv) > 2 else 0.0
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


def on_field(shadows):
    """Pieces on the field only: most shadows miss it, and the rest get smaller."""
    pieces = shapely.clip_by_rect(shadows, *FIELD.bounds)
    return pieces[shapely.area(pieces) > 0]


def instant(solids, roofs, azimuth_deg, elevation_deg):
    hulls = shapely.convex_hull(shapely.multipoints(flat(solids, azimuth_deg, elevation_deg)))
    opaque = shapely.union_all(on_field(hulls))
    plates = shapely.polygons(flat(roofs, azimuth_deg, elevation_deg))
    ring = shapely.union_all(on_field(plates))
    dimmed = shapely.difference(ring, opaque)
    share = opaque.area / FIELD.area
    return opaque, dimmed, share, 1 - share - (1 - THROUGH) * dimmed.area / FIELD.area


def main():
    segments = int(sys.argv[1]) if len(sys.argv) > 1 else 512
    solids, roofs = bowl(segments)
    for sun in SUNS:
        _, _, share, through = instant(solids, roofs, *sun)
        print(f"sun {sun}: opaque {share:.4f}, mean transmission {through:.4f}")
    rounds = 40
    began = time.perf_counter()
    for _ in range(rounds):
        for sun in SUNS:
            instant(solids, roofs, *sun)
    each = (time.perf_counter() - began) / (rounds * len(SUNS))
    times = pd.date_range("2027-01-01", "2027-12-31 23:55", freq="5min", tz="UTC")
    began = time.perf_counter()
    pvlib.solarposition.get_solarposition(times, 51.5, 0.0)
    sun = (time.perf_counter() - began) / len(times)
    print(f"{segments} segments: {each * 1e3:.3f} ms an instant, {sun * 1e6:.1f} us for its sun")


main()
