"""Makes tests/data/bird_pvlib.csv: clear-sky irradiance by pvlib's Bird model.

Needs pvlib; the project's tests read the result and need no Python.
Run from the repository's root: python3 tests/reference/make_bird_values.py
"""

import itertools

import pvlib

rows = []
for zenith, (aod380, aod500), water, ozone, pressure in itertools.product(
    [5.0, 30.0, 50.0, 65.0, 75.0, 82.0, 87.0],
    [(0.05, 0.03), (0.143, 0.1), (0.40, 0.27)],
    [0.3, 1.42, 4.0],
    [0.25, 0.344],
    [101325.0, 78000.0],
):
    mass = pvlib.atmosphere.get_relative_airmass(zenith, model="kasten1966")
    out = pvlib.clearsky.bird(
        zenith, mass, aod380, aod500, water, ozone=ozone, pressure=pressure,
        dni_extra=1400.0, asymmetry=0.85, albedo=0.2,
    )
    rows.append((zenith, aod380, aod500, water, ozone, pressure / 100, mass, out["dni"], out["dhi"]))

with open("tests/data/bird_pvlib.csv", "w") as f:
    f.write(f"# pvlib {pvlib.__version__}: pvlib.clearsky.bird(zenith, airmass, aod380, aod500, water, ozone, pressure,\n")
    f.write("# dni_extra=1400.0, asymmetry=0.85, albedo=0.2); airmass = get_relative_airmass(zenith, 'kasten1966')\n")
    f.write("zenith_deg,aod380,aod500,water_cm,ozone_atm_cm,pressure_hpa,air_mass,dni_w_m2,dhi_w_m2\n")
    for row in rows:
        f.write(",".join(f"{v:.9g}" for v in row) + "\n")
print(len(rows))
