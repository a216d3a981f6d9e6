#!/usr/bin/python3
"""Makes textbook.json with NumPy and SciPy: fidelity of a receiver with filter, discriminator and filter on a picture
of strokes two pixels wide, one after the other in each row. The test draws the same picture. It does not run this."""
import json

import numpy as np
from scipy import signal

RATE, LPM, COLUMNS, ROWS, CENTRE, DEVIATION = 12000.0, 120.0, 1810, 120, 1900.0, 400.0
PERIOD = 60 / LPM * RATE


def picture():
    m, state = np.full((ROWS, COLUMNS), 255.0), 1
    for row in m:
        x = 0
        while True:
            state = (state * 1103515245 + 12345) % 2**31
            x += 4 + (state >> 16) % 28
            if x + 2 > COLUMNS:
                break
            row[x : x + 2] = 0
            x += 2
    return m


def lowpass(cutoff, transition):
    """Kaiser window for 40 dB, 6 dB down at the cutoff (Hz)."""
    n, beta = signal.kaiserord(40, transition / (RATE / 2))
    return signal.firwin(n | 1, cutoff, window=("kaiser", beta), fs=RATE)


m = picture()
over = 8  # the frequency changes at pixel edges, which fall between samples: integrate on a finer raster
t = np.arange(int(PERIOD * ROWS) * over)
pixel = np.minimum((t / over / PERIOD * COLUMNS).astype(int), ROWS * COLUMNS - 1)
frequency = CENTRE + DEVIATION * (m.ravel()[pixel] / 127.5 - 1)
phase = np.concatenate([[0], np.cumsum(frequency)[:-1]]) * 2 * np.pi / (RATE * over)
x = np.sin(phase)[::over]
rng = np.random.default_rng(1)
values = {}
for snr in [40, 10, 6, 3, 0]:
    sigma = np.sqrt(0.5 / 10 ** (snr / 10) / 2500 * RATE / 2)
    n = np.arange(len(x))
    z = (x + rng.normal(0, sigma, len(x))) * np.exp(-2j * np.pi * CENTRE / RATE * n)
    z = signal.convolve(z, lowpass(1100, 200), mode="same")
    video = np.angle(z[1:] * np.conj(z[:-1])) * RATE / (2 * np.pi * DEVIATION)  # half a sample after n
    video = signal.convolve(video, lowpass(1300, 400), mode="same")
    at = (np.arange(ROWS * COLUMNS) + 0.5) * PERIOD / COLUMNS
    got = np.clip(np.interp(at, n[:-1] + 0.5, video) * 127.5 + 127.5, 0, 255)
    r = np.corrcoef(m.ravel(), got)[0, 1]
    values[str(snr)] = -10 * np.log10(1 - r * r)
json.dump(values, open("textbook.json", "w"), indent=1)
