"""Speed of `year --show field` on a venue file of flat panels, beside a plain pipeline.

Not needed by the tests. The ground is a bowl whose every deck, front, back wall and roof is
a `[[panel]]` by itself: 384 opaque ones and 128 that let 40 % through, which share corners
with their neighbours as far as the file's rounding (1 mm) goes. The pipeline is that of
`pipeline.py`: pvlib, numpy and shapely, once with plain overlay and once with snap rounding
to a micrometre.

    pip install pvlib shapely numpy
    cargo build --release
    python3 tests/reference/panels.py [path of the program]

Times are CPU time. The program's is that of whole commands: what `--step 5` takes more than
`--step 10`, over the sunlit instants that it has more, the least of some rounds in turn. The
pipeline's is that of sun and shadow alone. Shares of both are compared at the pipeline's
instants, under the sun of the program's table, which has two decimals.
"""

import csv
import math
import pathlib
import resource
import subprocess
import sys
import tempfile
import time

import numpy as np
import pandas as pd
import pvlib
import shapely

from pipeline import FIELD, THROUGH, flat, on_field, reaching

SEGMENTS = 128
BEARING_DEG = 20.0
LATITUDE_DEG, LONGITUDE_DEG, HEIGHT_M = 52.0, -0.5, 50.0
ROUNDS = 4
# Days of the year that the pipeline works out; the program does all.
EVERY_DAYS = 15
HEAD = f"""title = "Panels"
[place]
latitude_deg = {LATITUDE_DEG}
longitude_deg = {LONGITUDE_DEG}
height_m = {HEIGHT_M}
zone = "Etc/UTC"
[field]
sport = "football"
length_m = 105.0
width_m = 68.0
bearing_deg = {BEARING_DEG}
[fixture]
date = "2027-05-01"
start = "15:00"
"""


def panels():
    """Corners of opaque panels and of roofs, field axes, metres to the millimetre."""

    def at(i, out, up):
        angle = math.tau * (i % SEGMENTS) / SEGMENTS
        scale = 1 + out / 57
        return [round(66 * scale * math.cos(angle), 3), round(48 * scale * math.sin(angle), 3), up]

    opaque, roofs = [], []
    for i in range(SEGMENTS):
        j = i + 1
        opaque.append([at(i, 0, 0.0), at(j, 0, 0.0), at(j, 0, 1.5), at(i, 0, 1.5)])
        opaque.append([at(i, 0, 1.5), at(j, 0, 1.5), at(j, 32, 22.0), at(i, 32, 22.0)])
        opaque.append([at(i, 32, 22.0), at(j, 32, 22.0), at(j, 32, 29.0), at(i, 32, 29.0)])
        roofs.append([at(i, 4, 31.0), at(j, 4, 31.0), at(j, 32, 29.0), at(i, 32, 29.0)])
    return opaque, roofs


def venue(opaque, roofs):
    """The venue file's text."""
    one = '[[panel]]\nname = "{} {}"\ncorners = {}\n'
    text = [HEAD] + [one.format("opaque", i, c) for i, c in enumerate(opaque)]
    for i, corners in enumerate(roofs):
        text.append(one.format("roof", i, corners) + f"transmittance = {THROUGH}\n")
    return "".join(text)


def run(program, file, step, into):
    """CPU seconds of a year in steps of some minutes."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    command = [program, "year", file, "--step", str(step), "--show", "field", "--into", into]
    subprocess.run(command, check=True, capture_output=True)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def rows(folder):
    """Those of the table with the sun up, by time."""
    with open(folder / "year.csv", newline="") as table:
        up = [row for row in csv.DictReader(table) if row["sun_state"] == "up"]
    return {row["time_utc"]: row for row in up}


def instant(opaque, roofs, azimuth_deg, elevation_deg, grid):
    """Opaque share and mean transmission; `grid` is what snap rounding snaps to, metres."""

    def thrown(corners):
        shadows = reaching(flat(corners, azimuth_deg, elevation_deg))
        return on_field(shapely.make_valid(shapely.polygons(shadows)))

    dark = shapely.union_all(thrown(opaque), grid_size=grid)
    dimmed = shapely.union_all(thrown(roofs), grid_size=grid)
    dimmed = shapely.difference(dimmed, dark, grid_size=grid)
    share = dark.area / FIELD.area
    return share, 1 - share - (1 - THROUGH) * dimmed.area / FIELD.area


def pipeline(opaque, roofs, table, grid):
    """Seconds an instant, sun and shadow, and how far shares lie from the table's."""
    opaque, roofs = np.array(opaque), np.array(roofs)
    seconds, instants, apart = 0.0, 0, 0.0
    for day in pd.date_range("2027-01-01", "2027-12-31", freq=f"{EVERY_DAYS}D", tz="UTC"):
        began = time.process_time()
        times = pd.date_range(day, periods=288, freq="5min")
        pvlib.solarposition.get_solarposition(
            times, LATITUDE_DEG, LONGITUDE_DEG, altitude=HEIGHT_M
        )
        seconds += time.process_time() - began
        for at in times:
            row = table.get(at.strftime("%Y-%m-%dT%H:%M:%SZ"))
            if row is None:
                continue
            sun = [float(row[f"sun_{name}_deg"]) for name in ("azimuth", "apparent_elevation")]
            began = time.process_time()
            share, through = instant(opaque, roofs, *sun, grid)
            seconds += time.process_time() - began
            instants += 1
            apart = max(
                apart,
                abs(share - float(row["field_opaque_share"])),
                abs(through - float(row["field_mean_transmission"])),
            )
    return seconds / instants, apart


def main():
    program = str(pathlib.Path(sys.argv[1] if sys.argv[1:] else "target/release/quarterstop").resolve())
    opaque, roofs = panels()
    with tempfile.TemporaryDirectory() as home:
        home = pathlib.Path(home)
        file = home / "panels.toml"
        file.write_text(venue(opaque, roofs))
        times = {5: [], 10: []}
        for round_ in range(ROUNDS):
            for step in times:
                times[step].append(run(program, file, step, home / f"{step}-{round_}"))
        tables = {step: rows(home / f"{step}-0") for step in times}
        more = len(tables[5]) - len(tables[10])
        ours = (min(times[5]) - min(times[10])) / more
        print(f"{len(opaque)} opaque panels and {len(roofs)} roofs; CPU time of a year", end=" ")
        print(f"{min(times[5]):.2f} s in steps of 5 minutes, {min(times[10]):.2f} s of 10:", end=" ")
        print(f"{ours * 1e6:.1f} us for one of {more} sunlit instants more")
        for name, grid in (("plain overlay", None), ("snap rounding", 1e-6)):
            theirs, apart = pipeline(opaque, roofs, tables[5], grid)
            print(f"{name}: {theirs * 1e3:.2f} ms an instant, {theirs / ours:.0f} times;", end=" ")
            print(f"shares lie {apart:.6f} apart at most")


main()
