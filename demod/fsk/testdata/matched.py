# Makes matched.json: the output of filters matched to one element of 75 Bd, 64 samples at 4800 Hz, for tones of 1915
# and 2085 Hz in complex noise about 2000 Hz; by SciPy's lfilter.
import json
import numpy as np
from scipy.signal import lfilter

rng = np.random.default_rng(75)
n = np.arange(512)
z = np.exp(2j * np.pi * -85 / 4800 * n + 1j) + 0.5 * (rng.standard_normal(512) + 1j * rng.standard_normal(512))
z = np.round(z, 4)
out = {"z": [[x.real, x.imag] for x in z], "power": []}
for hz in (-85, 85):
    y = lfilter(np.ones(64) / 64, 1, z * np.exp(-2j * np.pi * hz / 4800 * n))
    out["power"].append([float(abs(y[8 * g + 63]) ** 2) for g in range(56)])  # the element that begins at sample 8·g
json.dump(out, open("matched.json", "w"))
