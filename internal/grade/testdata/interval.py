#!/usr/bin/python3
"""Makes interval.json with NumPy and SciPy: confidence intervals of a share over messages, and of a mean. Wilson's
interval is SciPy's own where the characters are independent; for messages it is the solution of |p-q| = t·s, where s
is the standard error of a share q of as many characters as tell as much. The test does not run this."""
import json

import numpy as np
from scipy import optimize, stats

Z = stats.norm.ppf(0.975)


def messages(wrong, of):
    wrong, of = np.array(wrong, float), np.array(of, float)
    m, n = len(of), of.sum()
    p = wrong.sum() / n
    residual = np.cov(wrong - p * of) * m / n**2  # the residuals add up to 0
    equal = min(n, p * (1 - p) / residual * (Z / stats.t.ppf(0.975, m - 1)) ** 2)
    f = lambda q: (p - q) ** 2 - Z**2 * q * (1 - q) / equal
    return [p, optimize.brentq(f, 0, p, xtol=1e-15), optimize.brentq(f, p, 1, xtol=1e-15)]


shares = []
for k, n in [(0, 300), (5, 300), (300, 300), (1, 7)]:
    ci = stats.binomtest(k, n).proportion_ci(0.95, method="wilson")
    shares.append({"wrong": [k], "of": [n], "want": [k / n, ci.low, ci.high]})
rng = np.random.default_rng(1927)
for rate in [stats.beta(0.3, 3), stats.beta(2, 200), stats.beta(50, 50)]:
    of = rng.integers(250, 350, 12)
    wrong = rng.binomial(of, rate.rvs(12, random_state=rng))
    shares.append({"wrong": wrong.tolist(), "of": of.tolist(), "want": messages(wrong, of)})
x = rng.normal(20, 3, 7)
low, high = stats.t.interval(0.95, 6, loc=x.mean(), scale=stats.sem(x))
json.dump({"shares": shares, "mean": {"x": x.tolist(), "want": [x.mean(), low, high]}}, open("interval.json", "w"))
