"""Clear minutes of a measured month, for tests/light_range.rs.

Python 3.11, pvlib 0.16.1, pandas. Input: the BSRN file of Payerne, June 2016, as minutes
with a header (time_utc, ghi, dni, dhi, pressure, ...). A minute counts as clear by Reno and
Hansen, Renewable Energy 90 (2016) 520, as `pvlib.clearsky.detect_clearsky` has it, against
the clear sky of Ineichen (`Location.get_clearsky`, climatological Linke turbidity). That
looks at the global irradiance only, so a kept minute also has sunshine as the WMO counts it
(direct normal irradiance over 120 W/m2: WMO-No. 8, part I, chapter 8), the sun over 5
degrees, and all three values there.

Call: python3 make_clear_minutes.py bsrn-payerne-2016-06-even-days.csv > \
    ../data/bsrn-payerne-2016-06-clear.csv
"""

import sys

import pandas as pd
import pvlib

HALF_MINUTE = pd.Timedelta(seconds=30)  # a time is the start of its minute

data = pd.read_csv(sys.argv[1], comment="#")
data.index = pd.to_datetime(data.time_utc)
site = pvlib.location.Location(46.815, 6.944, "UTC", 491)
sun = site.get_solarposition(data.index + HALF_MINUTE, pressure=95500, temperature=15)
data["elevation"] = sun["apparent_elevation"].values
full = data.reindex(pd.date_range(data.index[0], data.index[-1], freq="1min"))
expected = pd.Series(site.get_clearsky(full.index + HALF_MINUTE).ghi.values, index=full.index)
clear = pvlib.clearsky.detect_clearsky(full.ghi, expected, full.index, window_length=10)
data["clear"] = clear.reindex(data.index).astype(bool)
kept = data[data.clear & (data.elevation > 5) & (data.dni > 120)].dropna(subset=["ghi", "dni", "dhi"])
print("# see tests/data/README.md; W/m2 and hPa")
print("time_utc,ghi,dni,dhi,pressure_hpa")
for time, row in kept.iterrows():
    print(f"{time:%Y-%m-%dT%H:%MZ},{row.ghi:.0f},{row.dni:.0f},{row.dhi:.0f},{row.pressure:.0f}")
