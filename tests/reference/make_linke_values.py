"""Linke turbidities of a published map, for `tests/data/linke_turbidity.csv`.

The maps: J. Remund, L. Wald, M. Lefevre, T. Ranchin, J. Page, "Worldwide Linke turbidity
information", ISES Solar World Congress, Goteborg 2003 (SoDa), as carried by pvlib 0.16.1
(`clearsky.lookup_linke_turbidity`, with h5py 3.16.0); heights are those of
`location.lookup_altitude`. Places are whole degrees in each region of the climatology.

Run: python3 make_linke_values.py > ../data/linke_turbidity.csv
"""

import pandas
from pvlib.clearsky import lookup_linke_turbidity
from pvlib.location import lookup_altitude

PLACES = [
    (78, 16), (60, 10), (60, 25), (56, -4), (48, 2), (51, 0), (50, 10), (47, 7), (50, 30),
    (47, 28), (41, 13), (38, 24), (40, -4), (14, 2), (23, 5), (6, 1), (7, 5), (0, 20), (-1, 37),
    (-26, 28), (-33, 19), (24, 54), (30, 48), (41, 69), (43, 77), (26, 80), (18, 73), (40, 116),
    (30, 110), (36, 139), (33, 131), (56, 60), (62, 130), (14, 101), (1, 104), (-34, 150),
    (-25, 134), (39, -105), (34, -118), (39, -77), (40, -88), (54, -105), (62, -114), (19, -99),
    (18, -66), (-15, -48), (-3, -60), (-34, -58), (-31, -64),
]

print("# see tests/data/README.md; the 15th of the month")
print("latitude_deg,longitude_deg,height_m,january,april,july,october")
for latitude, longitude in PLACES:
    dates = [pandas.DatetimeIndex([f"2027-{month:02d}-15"]) for month in (1, 4, 7, 10)]
    values = [lookup_linke_turbidity(d, latitude, longitude).iloc[0] for d in dates]
    height = lookup_altitude(latitude, longitude)
    cells = [f"{value:.3f}" for value in values]
    print(",".join([str(latitude), str(longitude), f"{height:.0f}", *cells]))
