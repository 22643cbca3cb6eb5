"""Magnetic declination at places around the world, for tests/data/declination_values.csv.

Needs wmm-calculator 1.4.4, the Python module of the World Magnetic Model by CIRES,
University of Colorado, with the coefficients WMM2025 of NOAA NCEI (US public domain).

    python3 make_declination_values.py > ../data/declination_values.csv
"""

from wmm import wmm_calc

PLACES = [
    # latitude, longitude, metres over the ellipsoid, year, month, day
    (52.31, -0.42, 60, 2026, 8, 22),
    (52.31, -0.42, 60, 2029, 12, 30),
    (53.5, -2.2, 50, 2025, 1, 1),
    (40.7, -74.0, 10, 2027, 4, 17),
    (34.0, -118.2, 90, 2027, 4, 17),
    (-33.87, 151.2, 20, 2027, 4, 17),
    (-36.85, 174.76, 30, 2028, 2, 29),
    (-33.93, 18.42, 30, 2026, 6, 21),
    (-23.55, -46.63, 760, 2026, 6, 21),
    (35.68, 139.69, 40, 2026, 3, 1),
    (1.35, 103.82, 15, 2027, 10, 1),
    (64.15, -21.94, 15, 2027, 7, 1),
    (19.43, -99.13, 2240, 2025, 12, 31),
    (28.61, 77.21, 216, 2027, 1, 15),
]

model = wmm_calc()
print("latitude_deg,longitude_deg,height_m,date,declination_deg")
for latitude, longitude, height_m, year, month, day in PLACES:
    model.setup_time(year=year, month=month, day=day)
    model.setup_env(latitude, longitude, height_m / 1000.0, msl=False)
    value = model.get_Bdec()
    value = float(value[0]) if hasattr(value, "__len__") else float(value)
    print(f"{latitude},{longitude},{height_m},{year}-{month:02}-{day:02},{value:.4f}")
