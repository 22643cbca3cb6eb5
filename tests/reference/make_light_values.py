"""Makes reference values of light and colour under tests/data/.

spectrl2_pvlib.csv: clear-sky spectra by pvlib, and their tristimulus values
colour_temperature.csv: correlated colour temperatures by colour-science
sky_types.csv: luminances of the CIE general sky, and their integrals, by numpy

Needs pvlib, colour-science and numpy; the project's tests read the results and
need no Python. Run from the repository's root:
python3 tests/reference/make_light_values.py
"""

import itertools
import warnings

import numpy as np
import pvlib

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour

OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
NM = np.arange(380, 781)
CMF = np.array([OBSERVER[float(n)] for n in NM])  # colour-science's own table, 1 nm


def tristimulus(wavelength, spectrum):
    power = np.interp(NM, wavelength, spectrum)
    return 683.0 * np.trapezoid(CMF * power[:, None], NM, axis=0)


def spectra():
    shown = [400.0, 450.0, 500.0, 550.0, 610.0, 656.0, 724.4, 762.5, 937.0, 1610.0, 2198.0]
    rows = []
    for elevation, (aod, alpha), (water, ozone), pressure, albedo in itertools.product(
        [2.0, 5.0, 12.0, 30.0, 55.0, 85.0],
        [(0.05, 1.3), (0.1, 1.14), (0.4, 0.3)],
        [(0.4, 0.376), (1.42, 0.344), (4.1, 0.277)],
        [101325.0, 78000.0],
        [0.2, 0.7],
    ):
        mass = pvlib.atmosphere.get_relative_airmass(90 - elevation, model="kasten1966")
        out = pvlib.spectrum.spectrl2(
            90 - elevation, 90 - elevation, 0.0, albedo, pressure, mass, water, ozone, aod,
            dayofyear=100, alpha=alpha,
        )
        w, direct, diffuse = out["wavelength"], out["dni"].ravel(), out["dhi"].ravel()
        values = [elevation, aod, alpha, water, ozone, pressure / 100, albedo]
        values += list(tristimulus(w, direct)) + list(tristimulus(w, diffuse))
        values += [np.trapezoid(direct, w), np.trapezoid(diffuse, w)]
        for s in (direct, diffuse):
            values += [s[np.where(w == nm)[0][0]] for nm in shown]
        rows.append(values)
    with open("tests/data/spectrl2_pvlib.csv", "w") as f:
        f.write(f"# pvlib {pvlib.__version__}: pvlib.spectrum.spectrl2(90 - elevation, 90 - elevation, 0.0, albedo,\n")
        f.write("# pressure, get_relative_airmass(zenith, 'kasten1966'), water, ozone, aod500, dayofyear=100, alpha=alpha);\n")
        f.write(f"# tristimulus values with the CIE 1931 table of colour-science {colour.__version__}, 683 lm/W, 1 nm trapezoids\n")
        head = "elevation_deg,aod500,alpha,water_cm,ozone_atm_cm,pressure_hpa,albedo"
        head += ",direct_x,direct_y,direct_z,diffuse_x,diffuse_y,diffuse_z,direct_w_m2,diffuse_w_m2"
        head += "".join(f",{part}_{nm:g}" for part in ("direct", "diffuse") for nm in shown)
        f.write(head + "\n")
        for row in rows:
            f.write(",".join(f"{v:.9g}" for v in row) + "\n")
    return len(rows)


def temperatures():
    rows = []
    named = {}
    for name in ["A", "D50", "D55", "D65", "D75", "E"]:
        named[name] = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"][name]
    for name, xy in named.items():
        rows.append((name, xy))
    for kelvin, duv in itertools.product(
        [1800, 2400, 3200, 4300, 5600, 7500, 10000, 15000, 25000], [-0.02, -0.005, 0.0, 0.005, 0.02]
    ):
        uv = colour.temperature.CCT_to_uv_Ohno2013([kelvin, duv], cmfs=OBSERVER)
        rows.append((f"{kelvin}K{duv:+}", colour.UCS_uv_to_xy(uv)))
    with open("tests/data/colour_temperature.csv", "w") as f:
        f.write(f"# colour-science {colour.__version__}: colour.temperature.uv_to_CCT_Ohno2013(uv, cmfs)\n")
        f.write("name,x,y,kelvin,duv\n")
        for name, xy in rows:
            kelvin, duv = colour.temperature.uv_to_CCT_Ohno2013(colour.xy_to_UCS_uv(xy), cmfs=OBSERVER)
            f.write(f"{name},{xy[0]:.8f},{xy[1]:.8f},{kelvin:.3f},{duv:.6f}\n")
    return len(rows)


# ISO 15469:2004, table 1
GRADATION = [(4.0, -0.70), (1.1, -0.8), (0.0, -1.0), (-1.0, -0.55), (-1.0, -0.32), (-1.0, -0.15)]
INDICATRIX = [(0, -1.0, 0), (2, -1.5, 0.15), (5, -2.5, 0.30), (10, -3.0, 0.45), (16, -3.0, 0.30), (24, -2.8, 0.15)]
TYPES = [(1, 1), (1, 2), (2, 1), (2, 2), (3, 1), (3, 2), (3, 3), (3, 4), (4, 2), (4, 3), (4, 4), (5, 4), (5, 5), (6, 5), (6, 6)]


def skies():
    """Horizontal illuminance over zenith luminance of each type, by quadrature."""
    with open("tests/data/sky_types.csv", "w") as f:
        f.write("# ISO 15469:2004 / CIE S 011: relative luminance; horizontal and upright (toward the sun's azimuth, black\n")
        f.write(f"# ground) illuminance over zenith luminance, Gauss-Legendre quadrature with numpy {np.__version__}\n")
        f.write("type,sun_elevation_deg,horizontal_over_zenith,upright_over_zenith\n")
        z, zw = np.polynomial.legendre.leggauss(400)
        zenith = (z + 1) * np.pi / 4
        zw = zw * np.pi / 4
        azimuth = (np.arange(720) + 0.5) * np.pi / 360
        zz, aa = np.meshgrid(zenith, azimuth, indexing="ij")
        for number, (g, i) in enumerate(TYPES, 1):
            a, b = GRADATION[g - 1]
            c, d, e = INDICATRIX[i - 1]
            for elevation in (10.0, 35.0, 70.0):
                sun = np.radians(90 - elevation)
                chi = np.arccos(np.clip(np.cos(sun) * np.cos(zz) + np.sin(sun) * np.sin(zz) * np.cos(aa), -1, 1))
                phi = lambda t: 1 + a * np.exp(b / np.maximum(np.cos(t), 1e-12))
                ind = lambda x: 1 + c * (np.exp(d * x) - np.exp(d * np.pi / 2)) + e * np.cos(x) ** 2
                rel = ind(chi) * phi(zz) / (ind(sun) * phi(0.0))
                weight = np.sin(zz) * zw[:, None] * (2 * np.pi / 720)
                horizontal = np.sum(rel * np.cos(zz) * weight)
                upright = np.sum(rel * np.maximum(np.sin(zz) * np.cos(aa), 0) * weight)
                f.write(f"{number},{elevation:g},{horizontal:.6f},{upright:.6f}\n")
    return len(TYPES) * 3


print(spectra(), temperatures(), skies())
