#!/usr/bin/python3
"""Makes fidelity.json with NumPy: two small pictures, and their scores at some shifts. The test does not run it."""
import json

import numpy as np

rng = np.random.default_rng(576)
sent = rng.choice([0, 255, 255, 255, 90], size=(13, 17))
got = np.clip(sent + rng.normal(0, 70, size=sent.shape), 0, 255).round().astype(int)
got = np.roll(got, (1, 2), axis=(0, 1))  # 1 down, 2 to the right
cases = []
for dx, dy in [(0, 0), (2, 1), (-3, 0), (0, 3), (1, -2)]:
    h, w = sent.shape
    a = sent[max(0, -dy) : h - max(0, dy), max(0, -dx) : w - max(0, dx)]
    b = got[max(0, dy) : h + min(0, dy), max(0, dx) : w + min(0, dx)]
    r = np.corrcoef(a.ravel(), b.ravel())[0, 1]
    mse = np.mean((a - b) ** 2.0)
    cases.append({"dx": dx, "dy": dy, "fidelity": -10 * np.log10(1 - r * r), "psnr": 10 * np.log10(255**2 / mse)})
json.dump({"sent": sent.tolist(), "got": got.tolist(), "cases": cases}, open("fidelity.json", "w"))
