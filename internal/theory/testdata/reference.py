#!/usr/bin/python3
"""Makes reference.json with NumPy and SciPy (1.10 was used). The tests do not run this."""
import json

import numpy as np
from scipy import integrate, special, stats


def steady(g, coherent, paths):
    """Bit errors of orthogonal FSK. Noncoherent: the envelope of noise (Rayleigh) against that of signal and noise
    (Rice), or the same for sums of two squares, by integration of SciPy's densities rather than by formula."""
    if coherent:
        return stats.norm.sf(np.sqrt(g))
    n = 2 * max(paths, 1)  # degrees of freedom; squares in units of N0/2
    f = lambda x: stats.ncx2.pdf(x, n, 2 * g) * stats.chi2.sf(x, n)
    return integrate.quad(f, 0, 400 + 8 * g, points=[1, 5, 20, 60], limit=500, epsabs=0, epsrel=1e-10)[0]


def faded(f, mean, paths):
    """Mean of f over the sum of squares of 2·paths normal variables (gamma distribution)."""
    d = stats.gamma(max(paths, 1), scale=mean / paths)
    grid = np.unique(np.concatenate([[0], np.geomspace(1e-6, 1, 60) * 120, [160]]))
    return sum(integrate.quad(lambda x: f(x) * d.pdf(x), a, b, epsabs=0, epsrel=1e-10)[0]
               for a, b in zip(grid, grid[1:]))


def closed(g, coherent, paths):
    """The same as steady, quicker: for the means over fading."""
    if coherent:
        return stats.norm.sf(np.sqrt(g))
    return np.exp(-g / 2) / 2 if paths < 2 else np.exp(-g / 2) * (4 + g / 2) / 8


fsk = []
for coherent in (False, True):
    for paths in (0, 1, 2):
        for db in (-5, 0, 5, 10, 13, 25):
            g = 10 ** (db / 10)
            if paths == 0:
                if db > 15:
                    continue
                bit = steady(g, coherent, 0)
                char = stats.binom.sf(0, 5, bit)
            else:
                assert abs(steady(3, coherent, paths) / closed(3, coherent, paths) - 1) < 1e-8
                bit = faded(lambda x: closed(x, coherent, paths), g, paths)
                char = faded(lambda x: stats.binom.sf(0, 5, closed(x, coherent, paths)), g, paths)
            fsk.append(dict(coherent=coherent, paths=paths, ebn0=db, bit=bit, character=char))

x = [0, 1e-3, 0.5, 1, 2, 3.7, 3.8, 5, 10, 30, 100, 700, 1000, 1e5]
log_i0 = [float(np.log(special.ive(0, v)) + v) for v in x]
q = [[v, stats.norm.sf(v)] for v in (0, 0.5, 1, 2, 3, 4, 6, 8)]


def keyed(r):
    """Error of deciding by likelihood whether a dot was sent: two equally likely cases, amplitude known."""
    a2 = 2 * r  # in units where the noise has variance 1 in each part
    v = np.linspace(0, np.sqrt(a2) + 12, 400001)
    return 0.5 * np.trapz(np.minimum(stats.rayleigh.pdf(v), stats.rice.pdf(v, np.sqrt(a2))), v)


def pair(r, n=20_000_000):
    """".." against "-", each decided as a whole: phase unknown in each element. Simulated; standard error beside it."""
    rng = np.random.default_rng(1)
    a, errors, done = np.sqrt(r), 0, 0
    i0 = lambda v: np.log(special.ive(0, v)) + v
    while done < n:
        k = 1_000_000
        for dash in (0, 1):
            y = (rng.standard_normal((3, k)) + 1j * rng.standard_normal((3, k))) / np.sqrt(2)
            y += a * np.array([1, dash, 1])[:, None]
            two = i0(2 * a * abs(y[0])) + i0(2 * a * abs(y[2])) - 2 * r
            one = i0(2 * a * abs(y.sum(0))) - 3 * r
            errors += np.count_nonzero((one > two) != dash)
            done += k
    p = errors / done
    return p, float(np.sqrt(p / done))


morse = []
for r in (4, 8, 12):
    p, se = pair(r)
    morse.append(dict(edn0=r, phase=stats.norm.sf(np.sqrt(r / 2)), cell=keyed(r), envelope=p, envelope_error=se))


def rounded(v):
    if isinstance(v, dict):
        return {k: rounded(w) for k, w in v.items()}
    if isinstance(v, list):
        return [rounded(w) for w in v]
    return float(f"{v:.12g}") if isinstance(v, float) else v


with open("reference.json", "w") as f:
    json.dump(rounded(dict(fsk=fsk, log_i0=[list(p) for p in zip(map(float, x), log_i0)], q=q, morse=morse)), f, indent=1)
    f.write("\n")
