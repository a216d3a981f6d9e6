#!/usr/bin/python3
"""Makes ssim.json with NumPy and SciPy: the structural similarity of two small pictures at some shifts, after the
equations 13 to 17 of Wang, Bovik, Sheikh and Simoncelli (2004) as they stand there. The test does not run it."""
import json

import numpy as np
from scipy import signal

K1, K2, L = 0.01, 0.03, 255.0
t = np.arange(11) - 5.0
window = np.exp(-(t[:, None] ** 2 + t[None, :] ** 2) / (2 * 1.5**2))
window /= window.sum()


def local(x):
    return signal.convolve2d(x, window, mode="valid")


def ssim(x, y):
    mx, my = local(x), local(y)
    vx, vy, cov = local(x * x) - mx * mx, local(y * y) - my * my, local(x * y) - mx * my
    c1, c2 = (K1 * L) ** 2, (K2 * L) ** 2
    return np.mean((2 * mx * my + c1) * (2 * cov + c2) / ((mx**2 + my**2 + c1) * (vx + vy + c2)))


rng = np.random.default_rng(2004)
sent = rng.choice([0, 255, 255, 255, 90], size=(19, 27))
got = np.clip(sent + rng.normal(0, 70, size=sent.shape), 0, 255).round().astype(int)
got = np.roll(got, (1, 2), axis=(0, 1))  # 1 down, 2 to the right
cases = []
for dx, dy in [(0, 0), (2, 1), (-3, 0), (0, 3), (1, -2)]:
    h, w = sent.shape
    a = sent[max(0, -dy) : h - max(0, dy), max(0, -dx) : w - max(0, dx)].astype(float)
    b = got[max(0, dy) : h + min(0, dy), max(0, dx) : w + min(0, dx)].astype(float)
    cases.append({"dx": dx, "dy": dy, "ssim": ssim(a, b)})
json.dump({"sent": sent.tolist(), "got": got.tolist(), "cases": cases}, open("ssim.json", "w"))
