#!/usr/bin/python3
"""Writes reference.json: what SciPy makes of the package's filters. Needs python3-scipy (1.10 was used).

Run it in this folder; the tests only read the result.
"""
import json
from fractions import Fraction

import numpy as np
import scipy
from scipy import signal, special, stats

ATT = 50.0
PASS, STOP, CENTRE, OUT = 1400.0, 2200.0, 1900.0, 3600.0
RATES = ["6000", "8000", "11025", "12000", "12345.678", "22050", "44100", "48000", "96000", "192000"]


def noise(n, seed=1):
    """Upper 16 bits of the generator s = 1664525 s + 1013904223 mod 2^32 (Numerical Recipes), as [-1, 1)."""
    x = np.empty(n)
    s = seed
    for i in range(n):
        s = (s * 1664525 + 1013904223) % 2**32
        x[i] = ((s >> 16) - 32768) / 32768
    return x


def pairs(z):
    return [[float(f"{v.real:.9g}"), float(f"{v.imag:.9g}")] for v in z]


def floats(x):
    return [float(f"{v:.12g}") for v in x]


def baseband(text):
    """The definition, in three plain steps at full precision: mix, upsample-filter-downsample, shift.

    The filter length follows kaiserord, rounded up to whole groups of eight taps (the one thing that is the
    package's own choice); the band is cut at half the sample rate.
    """
    rate = float(text)
    beta = signal.kaiser_beta(ATT)
    numtaps, _ = signal.kaiserord(ATT, (STOP - PASS) / (rate / 2))
    half = 4 * int(np.ceil((numtaps - 1) / 8))
    reach = (PASS + STOP) / 2
    lo, hi = max(CENTRE - reach, 0), min(CENTRE + reach, rate / 2)
    middle, cut = (lo + hi) / 2, (hi - lo) / 2
    count = int(rate * 0.05)
    x = noise(count)
    mixed = x * np.exp(-2j * np.pi * middle / rate * np.arange(count))
    outputs = int((count - 1) * OUT / rate + 1e-9) + 1
    ratio = Fraction(text) / Fraction(int(OUT))
    if ratio.denominator < 1000:
        up, down = ratio.denominator, ratio.numerator
        h = signal.firwin(2 * half * up + 1, cut, window=("kaiser", beta), fs=rate * up)
        h[0] = h[-1] = 0  # the package's window is open at its ends
        h *= up / sum(h)
        y = signal.upfirdn(h, np.concatenate([mixed, np.zeros(2 * half)]), up, 1)[half * up:][::down][:outputs]
        method = "firwin, upfirdn"
    else:  # the sum over the continuous-time filter
        t = np.arange(outputs)[:, None] * rate / OUT - np.arange(count)[None, :]
        w = np.where(abs(t) <= half, special.i0(beta * np.sqrt(np.maximum(1 - (t / half) ** 2, 0))), 0)
        h = w / special.i0(beta) * 2 * cut / rate * np.sinc(2 * cut / rate * t)
        fine = np.arange(-half * 50, half * 50 + 1) / 50
        gain = np.sum(special.i0(beta * np.sqrt(1 - (fine / half) ** 2)) / special.i0(beta)
                      * 2 * cut / rate * np.sinc(2 * cut / rate * fine)) / 50
        y = (h / gain) @ mixed
        method = "special.i0, direct sum"
    y = 2 * y * np.exp(2j * np.pi * (middle - CENTRE) * np.arange(outputs) / OUT)
    keep = np.r_[0:20, outputs - 20:outputs]
    return {"rate": rate, "method": method, "samples": count, "outputs": outputs,
            "at": keep.tolist(), "want": pairs(y[keep])}


def lowpass(rate, passband, stop, att):
    numtaps, beta = signal.kaiserord(att, (stop - passband) / (rate / 2))
    taps = 2 * int(np.ceil((signal_order(rate, stop - passband, att)) / 2)) + 1
    h = signal.firwin(taps, (passband + stop) / 2, window=("kaiser", beta), fs=rate)
    f = np.linspace(0, rate / 2, 41)
    _, resp = signal.freqz(h, worN=f, fs=rate)
    x = noise(400)
    return {"rate": rate, "pass": passband, "stop": stop, "att": att, "beta": beta, "kaiserord": numtaps,
            "taps": floats(h), "freq": floats(f), "gain": floats(abs(resp)),
            "filtered": floats(signal.lfilter(h, 1, x))[::10]}


def signal_order(rate, width, att):
    """kaiserord's formula before it rounds."""
    return (att - 7.95) / 2.285 / (np.pi * width / (rate / 2))


def rice(snr):
    """Moments of a Rice envelope with signal power snr and noise power 1 (scale² = 1/2 a component)."""
    d = stats.rice(np.sqrt(2 * snr), scale=np.sqrt(0.5))
    return {"snr": snr, "m2": float(d.moment(2)), "m4": float(d.moment(4))}


json.dump({
    "scipy": scipy.__version__,
    "baseband": [baseband(r) for r in RATES],
    "lowpass": [lowpass(3600.0, 400.0, 700.0, 50.0), lowpass(3600.0, 100.0, 160.0, 40.0),
                lowpass(12000.0, 1000.0, 2500.0, 80.0)],
    "rice": [rice(s) for s in (0.01, 0.1, 1.0, 3.0, 10.0, 100.0)],
}, open("reference.json", "w"), indent=None, separators=(",", ":"))
