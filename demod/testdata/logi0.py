"""Values of TestLogI0; run with SciPy: /usr/bin/python3 logi0.py"""
import numpy as np
from scipy.special import ive

for x in [0.5, 1, 5, 30, 100, 400]:
    print(f"{x}: {np.log(ive(0, x)) + x:.6f}")
