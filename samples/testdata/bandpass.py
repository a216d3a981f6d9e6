#!/usr/bin/python3
"""Writes bandpass.json: the amplitude response in dB and the start of the impulse response of the receiver's band-pass,
by SciPy. Needs python3-scipy (1.10 was used). Run it in this folder; the tests only read the result.
"""
import json

import numpy as np
from scipy import signal

cases = []
for rate, low, high in [(12000, 300, 2700), (8000, 400, 3400), (48000, 1200, 2600), (12000, 500, 0), (12000, 0, 1000)]:
    parts = []
    if low:
        parts.append(signal.butter(4, low, "highpass", fs=rate, output="sos"))
    if high:
        parts.append(signal.butter(8, high, "lowpass", fs=rate, output="sos"))
    sos = np.vstack(parts)
    hz = [50, 150, 300, 500, 1000, 1900, 2600, 2700, 3400, 3900]
    _, h = signal.sosfreqz(sos, worN=hz, fs=rate)
    x = np.zeros(60)
    x[0] = 1
    cases.append({
        "rate": rate, "low": low, "high": high, "hz": hz,
        "db": [float(f"{20 * np.log10(abs(v)):.6g}") for v in h],
        "impulse": [float(f"{v:.9g}") for v in signal.sosfilt(sos, x)],
    })
with open("bandpass.json", "w") as f:
    json.dump(cases, f, indent=None)
    f.write("\n")
