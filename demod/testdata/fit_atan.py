#!/usr/bin/python3
"""Minimax fit of atan(t) on [0, 1] by t, t^3, t^5, t^7, t^9 for phase.go: Remez exchange.

E. Ya. Remez, 1934; the error of the best fit has one more extreme of equal height than there are coefficients.
Prints the coefficients, lowest power first, and the largest error in radians.
"""
import numpy as np

N = 5
grid = np.linspace(0, 1, 200001)[1:]


def basis(t):
    return np.stack([t ** (2 * k + 1) for k in range(N)], axis=-1)


x = (1 - np.cos(np.pi * (np.arange(N + 1) + 0.5) / (N + 1))) / 2
for _ in range(50):
    sign = (-1.0) ** np.arange(N + 1)
    sol = np.linalg.solve(np.column_stack([basis(x), sign]), np.arctan(x))
    err = np.arctan(grid) - basis(grid) @ sol[:N]
    # one extreme for each run of equal sign
    cuts = np.flatnonzero(np.diff(np.sign(err))) + 1
    runs = np.split(np.arange(len(grid)), cuts)
    new = np.array([grid[r[np.argmax(abs(err[r]))]] for r in runs])
    assert len(new) == N + 1, len(new)
    if np.allclose(new, x, atol=1e-9):
        break
    x = new
print("coefficients", [float(c) for c in sol[:N]])
print("largest error", abs(err).max())
