"""Values of TestCarrier; run with SciPy: /usr/bin/python3 swing.py

The amplitude of a mark is Gaussian, its covariance that of a critically damped resonance in white noise,
power * exp(-b t) (1 + b t) for a rate b. Samples of a mark are heard in noise of a variance; their log-likelihood over
that of noise alone is by the joint density of all of them, with no filter. The second mark comes seven steps later.
"""
import numpy as np
from scipy.linalg import expm, solve_continuous_lyapunov
from scipy.stats import multivariate_normal

b, power, noise = 0.05, 2.0, 0.3

# Transition over seven steps, and what it adds, by the matrix exponential and the Lyapunov equation.
a = np.array([[0, 1], [-b * b, -2 * b]])
q = np.diag([0, 4 * b**3 * power])
stationary = solve_continuous_lyapunov(a, -q)
f = expm(7 * a)
added = stationary - f @ stationary @ f.T
print("over 7:", [f"{x:.6g}" for x in [*f.ravel(), added[0, 0], added[0, 1], added[1, 1]]])

# Times of the samples of two marks of three and four steps, and what is heard: real and imaginary.
t = np.array([1, 2, 3, 11, 12, 13, 14.0])
z = np.array([1.1 + 0.4j, 1.3 + 0.2j, 0.9 + 0.3j, 0.2 - 0.1j, -0.1 - 0.2j, 0.0 - 0.5j, -0.3 - 0.4j])
d = np.abs(t[:, None] - t[None, :])
c = power * np.exp(-b * d) * (1 + b * d)
for n in (3, 7):
    sum_ = 0.0
    for x in (z[:n].real, z[:n].imag):  # each has half of the power
        sum_ += multivariate_normal.logpdf(x, cov=(c[:n, :n] + noise * np.eye(n)) / 2)
        sum_ -= multivariate_normal.logpdf(x, cov=noise * np.eye(n) / 2)
    print(f"first {n}: {sum_:.6f}")
