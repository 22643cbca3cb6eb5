"""Makes reference values of video signals under tests/data/.

signal_curves.csv: transfer curves of ITU-R BT.709, BT.1886 and BT.2100 by colour-science
signal_hlg.csv: HLG's system gamma, and display light of triples of signals, by colour-science
signal_colours.csv: colours in the primaries of BT.709 and BT.2020 by colour-science

Needs colour-science and numpy; the project's tests read the results and need no Python.
Run from the repository's root: python3 tests/reference/make_signal_values.py
"""

import itertools
import warnings

import numpy as np

with warnings.catch_warnings():
    warnings.simplefilter("ignore")
    import colour
    import colour.models as m
    from colour.models.rgb.transfer_functions.itur_bt_2100 import gamma_function_BT2100_HLG

HEAD = f"# colour-science {colour.__version__}"
LEVELS = [0.0, 1e-5, 1e-4, 0.001, 0.01, 0.0179, 0.0181, 0.05, 1 / 12, 0.1, 0.18, 0.265, 0.5, 0.9, 1.0]
SIGNALS = [0.0, 0.005, 0.02, 0.08, 0.0811, 0.082, 0.2, 0.38, 0.5, 0.501, 0.58, 0.75, 0.9, 1.0]
LIGHTS = [1e-4, 0.001, 0.005, 0.01, 0.1, 1.0, 5.0, 26.0, 100.0, 203.0, 1000.0, 4000.0, 10000.0]


def curves():
    named = [
        ("bt709_oetf", m.oetf_BT709, LEVELS),
        ("bt709_oetf_inverse", m.oetf_inverse_BT709, SIGNALS),
        ("bt1886_eotf_100_0", lambda v: m.eotf_BT1886(v, 0.0, 100.0), SIGNALS),
        ("bt1886_eotf_100_0.1", lambda v: m.eotf_BT1886(v, 0.1, 100.0), SIGNALS),
        ("bt1886_eotf_inverse_100_0.1", lambda v: m.eotf_inverse_BT1886(v, 0.1, 100.0), [0.1, 1.0, 20.0, 100.0]),
        ("hlg_oetf", m.oetf_BT2100_HLG, LEVELS),
        ("hlg_oetf_inverse", m.oetf_inverse_BT2100_HLG, SIGNALS),
        ("pq_eotf", m.eotf_BT2100_PQ, SIGNALS),
        ("pq_eotf_inverse", m.eotf_inverse_BT2100_PQ, LIGHTS),
    ]
    with open("tests/data/signal_curves.csv", "w") as f:
        f.write(f"{HEAD}: colour.models.oetf_BT709, eotf_BT1886(V, L_B, L_W), oetf_BT2100_HLG, eotf_BT2100_PQ and their inverses\n")
        f.write("curve,input,output\n")
        for name, curve, inputs in named:
            for value in inputs:
                f.write(f"{name},{value:.10g},{float(curve(value)):.12g}\n")


def hlg():
    triples = [(0.1, 0.1, 0.1), (0.38, 0.38, 0.38), (0.75, 0.75, 0.75), (1.0, 1.0, 1.0),
               (0.9, 0.3, 0.1), (0.2, 0.6, 0.3), (0.05, 0.2, 0.95), (0.5, 0.5, 0.8)]
    with open("tests/data/signal_hlg.csv", "w") as f:
        f.write(f"{HEAD}: colour.models.gamma_function_BT2100_HLG(L_W), eotf_BT2100_HLG(E', L_B, L_W, method='ITU-R BT.2100-2'), ootf_BT2100_HLG(E, L_B, L_W)\n")
        f.write("peak_cd_per_m2,black_cd_per_m2,gamma,red,green,blue,display_red,display_green,display_blue,ootf_red,ootf_green,ootf_blue\n")
        for (peak, black), signal in itertools.product([(400.0, 0.0), (1000.0, 0.0), (1000.0, 0.05), (2000.0, 0.0)], triples):
            display = m.eotf_BT2100_HLG(np.array(signal), black, peak, method="ITU-R BT.2100-2")
            ootf = m.ootf_BT2100_HLG(np.array(signal), 0.0, peak, method="ITU-R BT.2100-2")
            values = [peak, black, float(gamma_function_BT2100_HLG(peak)), *signal, *display, *ootf]
            f.write(",".join(f"{v:.10g}" for v in values) + "\n")


def colours():
    spaces = [colour.RGB_COLOURSPACES[name] for name in ("ITU-R BT.709", "ITU-R BT.2020")]
    white = spaces[0].whitepoint
    samples = [colour.xyY_to_XYZ([*white, 1.0]), [0.2, 0.3, 0.1], [0.3, 0.2, 0.05], [0.1, 0.12, 0.6],
               [0.05, 0.4, 0.03], [0.6, 0.3, 0.01], [0.95, 1.0, 1.3]]
    with open("tests/data/signal_colours.csv", "w") as f:
        f.write(f"{HEAD}: matrices by colour.normalised_primary_matrix(primaries, whitepoint) of its RGB_COLOURSPACES\n")
        f.write("x,y,z,red_709,green_709,blue_709,red_2020,green_2020,blue_2020\n")
        for xyz in samples:
            rgb = [np.linalg.inv(colour.normalised_primary_matrix(s.primaries, s.whitepoint)) @ np.array(xyz) for s in spaces]
            f.write(",".join(f"{v:.10g}" for v in [*xyz, *rgb[0], *rgb[1]]) + "\n")


curves()
hlg()
colours()
