"""The sky of the spectral model against discrete ordinates, wavelength by wavelength.

Prints, for elevations of the sun and aerosol depths, what a solver of the radiative
transfer equation (PythonicDISORT 1.8 with numpy 2.4.6 and scipy 1.17.1, 16 streams, delta-M)
sends down from the sky over a black ground, over what SPCTRL2 (SERI/TR-215-2436, equations
3-5 and 3-6) does with the same optical depths, the same aerosol (single scattering albedo of
its equation 3-16, asymmetry 0.65, Henyey and Greenstein's phase function) and the same air
mass of the beam. Layers: Rayleigh with a scale height of 8 km, aerosol with 2 km. The last
column of a row is `clear::curvature`, the part of it that is the shape of the Earth.

Run: python3 -W ignore compare_sky.py
"""

import numpy as np
from PythonicDISORT import pydisort

STREAMS = 16
ASYMMETRY = 0.65
EDGES_KM = np.array([100, 12, 8, 5, 3, 2, 1, 0.5, 0])
ELEVATIONS = (3, 5, 8, 12, 20, 30, 45, 60)


def air_mass(elevation):
    """Kasten 1966."""
    return 1 / (np.sin(np.radians(elevation)) + 0.15 * (elevation + 3.885) ** -1.253)


def rayleigh_depth(um):
    return 1 / (um**4 * (115.6406 - 1.3366 / um**2))


def albedo(um):
    return 0.945 * np.exp(-0.095 * np.log(um / 0.4) ** 2)


def shares(scale_km):
    above = np.diff(np.exp(-EDGES_KM / scale_km))
    return above / above.sum()


def discrete_ordinates(elevation, um, aerosol):
    """Light of the sky for a beam of 1 facing it; the beam takes the air mass's slant."""
    rayleigh = rayleigh_depth(um) * shares(8)
    scattered = albedo(um) * aerosol * shares(2)
    depth = rayleigh + aerosol * shares(2)
    order = np.arange(STREAMS)
    of_air = np.where(order == 0, 1.0, np.where(order == 2, 0.1, 0.0))
    moments = rayleigh[:, None] * of_air + scattered[:, None] * ASYMMETRY**order
    total = rayleigh + scattered
    cosine = 1 / air_mass(elevation)
    below = np.cumsum(depth)
    down = pydisort(
        below, np.minimum(total / depth, 1 - 1e-6), STREAMS, moments / total[:, None],
        cosine, 1.0, 0.0, only_flux=True, f_arr=scattered * ASYMMETRY**STREAMS / total,
    )[2]
    return down(below[-1])[0]


def spectral_model(elevation, um, aerosol):
    mass, sine = air_mass(elevation), np.sin(np.radians(elevation))
    log = np.log(1 - ASYMMETRY)
    a = log * (1.459 + log * (0.1595 + log * 0.4129))
    b = log * (0.0783 + log * (-0.3824 - log * 0.5874))
    forward = 1 - 0.5 * np.exp((a + b * sine) * sine)
    air = np.exp(-mass * rayleigh_depth(um))
    scattered = np.exp(-albedo(um) * aerosol * mass)
    absorbed = np.exp(-(1 - albedo(um)) * aerosol * mass)
    more = (um + 0.55) ** 1.8 if um <= 0.45 else 1
    both = (1 - air**0.95) * 0.5 + air**1.5 * (1 - scattered) * forward
    return sine * absorbed * both * more


for um in (0.45, 0.55, 0.65):
    for aerosol in (0.0001, 0.05, 0.1, 0.2, 0.4):
        print(f"{um} um, aerosol {aerosol} at it")
        for elevation in ELEVATIONS:
            ratio = discrete_ordinates(elevation, um, aerosol)
            ratio /= spectral_model(elevation, um, aerosol)
            curvature = 1 / (air_mass(elevation) * np.sin(np.radians(elevation)))
            print(f"  {elevation:3d} degrees: {ratio:.3f}, of which curvature {curvature:.3f}")
