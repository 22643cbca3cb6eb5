"""Makes tests/data/epw_pvlib.csv: values of every 97th hour of a weather file as another
reader gives them.

Needs Python 3.11, pvlib (version in the first line of the file made).
Call: pvlib.iotools.read_epw(file, coerce_year=2001), columns ghi, dni, dhi,
total_sky_cover; its index is the beginning of each hour with the zone of the file.
"""

import csv
import pathlib

import pvlib

DATA = pathlib.Path(__file__).resolve().parents[1] / "data"
FILE = "pvgis-tmy-45.0N-8.0E-2005-2023.epw"
EVERY = 97

frame, place = pvlib.iotools.read_epw(DATA / FILE, coerce_year=2001)
with open(DATA / "epw_pvlib.csv", "w", newline="") as out:
    out.write(f"# pvlib {pvlib.__version__}, read_epw({FILE}, coerce_year=2001)\n")
    writer = csv.writer(out)
    writer.writerow(["row", "begins", "ghi", "dni", "dhi", "total_sky_cover",
                     "latitude", "longitude", "tz_h", "altitude_m"])
    for row in range(0, len(frame), EVERY):
        at = frame.index[row]
        values = frame.iloc[row]
        writer.writerow([row, at.isoformat(), values.ghi, values.dni, values.dhi,
                         values.total_sky_cover, place["latitude"], place["longitude"],
                         place["TZ"], place["altitude"]])
