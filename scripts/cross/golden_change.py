"""Compares `plimsoll change` with scipy.

Source: scipy.stats (version printed). Formulas: docs/methods/change.md. On the log scale a typical
error of CV % has a standard deviation of ln(1 + CV/100); a difference of two tests has the square
root of two times that.
"""

import json
import math
import os
import subprocess

import scipy
from scipy.stats import norm

TOLERANCE = 1e-9  # both sides compute in double precision


def plimsoll(*args):
    out = subprocess.run([os.environ["PLIMSOLL"], *args, "--json"], capture_output=True, text=True)
    assert out.returncode == 0, out.stderr + out.stdout
    return json.loads(out.stdout)


def log_case(start, end, cv, swc):
    got = plimsoll("change", "--test", "ir1", "--from", str(start), "--to", str(end),
                   "--typical-error", f"{cv}%", "--swc", f"{swc}%")
    sd = math.sqrt(2) * math.log(1 + cv / 100)
    d = math.log(end / start)
    up = norm.sf((math.log(1 + swc / 100) - d) / sd)
    down = norm.cdf((-math.log(1 + swc / 100) - d) / sd)
    return got, up, down


def raw_case(start, end, error, swc):
    got = plimsoll("change", "--test", "int30_15_40", "--from", str(start), "--to", str(end),
                   "--typical-error", str(error), "--swc", str(swc))
    sd = math.sqrt(2) * error
    up = norm.sf((swc - (end - start)) / sd)
    down = norm.cdf((-swc - (end - start)) / sd)
    return got, up, down


def main():
    cases = [log_case(1480, 1640, 4.9, 3.0), log_case(2000, 1800, 7.3, 4.0), log_case(560, 560, 8.7, 2.0),
             raw_case(18.5, 19.0, 0.36, 0.21), raw_case(18.5, 19.5, 0.36, 0.21), raw_case(20.0, 19.0, 0.5, 0.2)]
    for n, (got, up, down) in enumerate(cases):
        assert abs(got["p_up"] - up) < TOLERANCE, (n, got["p_up"], up)
        assert abs(got["p_down"] - down) < TOLERANCE, (n, got["p_down"], down)
        assert abs(got["p_up"] + got["p_trivial"] + got["p_down"] - 1) < TOLERANCE, n
    print(f"{len(cases)} changes agree with scipy {scipy.__version__} to {TOLERANCE}")


main()
