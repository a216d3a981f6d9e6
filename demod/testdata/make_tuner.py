#!/usr/bin/python3
"""Writes tuner.json: what SciPy makes of the definition of a Tuner. Needs python3-scipy (1.10 was used).

Run it in this folder; the tests only read the result. Each stage is made in plain steps at full precision (insert
zeros, filter with a Kaiser design of firwin, take every M-th sample). Only the stages' rates and the rounding of their
lengths up to whole groups of four taps are the package's own choice.
"""
import json
from fractions import Fraction

import numpy as np
import scipy
from scipy import signal

ATT, REACH, EDGE, WORK, OUT, FIRST = 80.0, 2400.0, 2300.0, 6000, 12000, 16000


def noise(n, seed):
    """Upper 16 bits of the generator s = 1664525 s + 1013904223 mod 2^32 (Numerical Recipes), as [-1, 1)."""
    x = np.empty(n)
    s = seed
    for i in range(n):
        s = (s * 1664525 + 1013904223) % 2**32
        x[i] = ((s >> 16) - 32768) / 32768
    return x


def stage(z, rate, out, passband, stop):
    """Resample z from rate to out; sample 0 stays sample 0. rate and out are Fractions."""
    up, down = (out / rate).numerator, (out / rate).denominator
    order = (ATT - 7.95) / 2.285 / (np.pi * (stop - passband) / (float(rate) / 2))
    half = 2 * int(np.ceil(order / 4)) * up  # taps on each side at the raised rate
    h = signal.firwin(2 * half + 1, (passband + stop) / 2, window=("kaiser", signal.kaiser_beta(ATT)), fs=float(rate) * up)
    h[0] = h[-1] = 0  # the window's open end
    h *= up / h.sum()
    y = np.zeros(len(z) * up, complex)
    y[::up] = z
    y = signal.fftconvolve(y, h)[half:]
    return y[::down]


def tune(text, dial, lower):
    rate = Fraction(text)
    count = int(rate / 20)
    z = noise(count, 1) + 1j * noise(count, 2)
    side = -1 if lower else 1
    middle = dial + side * EDGE
    z = z * np.exp(-2j * np.pi * middle * np.arange(count) / float(rate))
    r = rate
    d = int(rate // FIRST)
    if d > 1:
        z = stage(z, r, r / d, REACH, float(r / d) - REACH)
        r = r / d
    z = stage(z, r, Fraction(WORK), REACH, WORK - REACH)
    z = stage(z, Fraction(WORK), Fraction(WORK), EDGE - 100, EDGE + 100)
    z = stage(z, Fraction(WORK), Fraction(OUT), REACH, WORK - REACH)
    n = int((count - 1) * OUT / rate) + 1
    y = (z * np.exp(2j * np.pi * side * EDGE * np.arange(len(z)) / OUT)).real[:n]
    at = list(range(0, n, 13)) + [n - 1]
    return {"rate": float(rate), "dial": dial, "lower": lower, "samples": count, "outputs": n, "at": at,
            "want": [float(f"{y[i]:.9g}") for i in at]}


json.dump({
    "scipy": scipy.__version__,
    "tuner": [tune("48000", -12345.0, False), tune("96000", 20000.0, False), tune("96000", -3000.5, True),
              tune("44100", 777.0, False), tune("192000", 80000.0, True), tune("384000", -100000.0, False),
              tune("8000", -3500.0, False), tune("250000", 0.0, False)],
}, open("tuner.json", "w"), indent=None, separators=(",", ":"))
