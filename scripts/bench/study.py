"""Reliability of a long table: seconds of the six intraclass correlations with their intervals alone (pingouin), and of
a whole study as far as pingouin, scipy and numpy carry it. The table is in memory; reading it is left out. Best of five."""

import json
import sys
import time
from pathlib import Path

import numpy
import pandas
import pingouin
import scipy.stats

LEVEL = 0.95


def pair(first, second):
    """Change in the mean, typical error, limits of agreement of two trials, each with its interval."""
    steps = second - first
    n, sd = len(steps), steps.std(ddof=1)
    change = pingouin.ttest(second, first, paired=True, confidence=LEVEL)
    error = sd / numpy.sqrt(2)
    ends = scipy.stats.chi2.ppf([0.5 + LEVEL / 2, 0.5 - LEVEL / 2], n - 1)
    limits = steps.mean() + numpy.array([-1.96, 1.96]) * sd
    doubt = scipy.stats.t.ppf(0.5 + LEVEL / 2, n - 1) * sd * numpy.sqrt(3 / n)
    return change, error, error * numpy.sqrt((n - 1) / ends), limits, doubt


def scale(data):
    """Everything of one scale."""
    icc = pingouin.intraclass_corr(data, targets="person", raters="trial", ratings="value")
    wide = data.pivot(index="person", columns="trial", values="value").to_numpy()
    n, k = wide.shape
    pairs = [pair(wide[:, j], wide[:, j + 1]) for j in range(k - 1)]
    left = wide - wide.mean(axis=1, keepdims=True) - wide.mean(axis=0) + wide.mean()
    own = (left**2).sum(axis=1)
    df = (n - 1) * (k - 1)
    pooled = numpy.sqrt(own.sum() / df)
    interval = pooled * numpy.sqrt(df / scipy.stats.chi2.ppf([0.5 + LEVEL / 2, 0.5 - LEVEL / 2], df))
    # What the error would be without each person.
    without = numpy.sqrt((own.sum() - own * n / (n - 1)) / (df - (k - 1)))
    steps = numpy.diff(wide, axis=1)
    early = pingouin.corr(steps[:, 0], steps[:, 1])
    level = pingouin.corr(numpy.abs(steps).mean(axis=1), wide.mean(axis=1))
    return icc, pairs, pooled, interval, without, early, level


data = pandas.read_csv(Path(sys.argv[1]) / "study.csv")
alone = whole = float("inf")
for _ in range(5):
    begun = time.perf_counter()
    found = pingouin.intraclass_corr(data, targets="person", raters="trial", ratings="value")
    alone = min(alone, time.perf_counter() - begun)
    begun = time.perf_counter()
    raw = scale(data)
    logs = scale(data.assign(value=numpy.log(data["value"]))) if (data["value"] > 0).all() else None
    whole = min(whole, time.perf_counter() - begun)
print(json.dumps({"s": alone, "whole_s": whole, "logs": logs is not None, "people": int(data.person.nunique()),
                  "icc": [float(x) for x in found["ICC"]], "error": float(raw[2]),
                  "version": f"pingouin {pingouin.__version__}"}))
