"""The six intraclass correlations of a long table with pingouin: seconds of the work alone."""

import json
import sys
import time
from pathlib import Path

import pandas
import pingouin

data = pandas.read_csv(Path(sys.argv[1]) / "study.csv")
begun = time.perf_counter()
found = pingouin.intraclass_corr(data, targets="person", raters="trial", ratings="value")
took = time.perf_counter() - begun
print(json.dumps({"s": took, "people": int(data.person.nunique()), "icc": [float(x) for x in found["ICC"]],
                  "version": f"pingouin {pingouin.__version__}"}))
