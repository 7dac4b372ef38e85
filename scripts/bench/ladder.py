"""The peer for `ladder` and `locate`: level 1 and 2 with Python fractions, as JSON, or one label looked up."""

import json
import sys
from fractions import Fraction

LADDERS = {
    "ir1": [(10, 1), (12, 1), (13, 2), (13.5, 3), (14, 4)] + [(14.5 + 0.5 * i, 8) for i in range(10)],
    "ir2": [(13, 1), (15, 1), (16, 2), (16.5, 3), (17, 4)] + [(17.5 + 0.5 * i, 8) for i in range(10)],
}


def bouts(name):
    clock, n, out = Fraction(0), 0, []
    for speed, count in LADDERS[name]:
        leg = Fraction(72) / Fraction(speed)
        for k in range(count):
            n += 1
            out.append({"bout": n, "label": f"{int(2 * speed - 15)}.{k + 1}", "speed_kmh": speed, "start_s": float(clock),
                        "turns_s": [float(clock + leg)], "finish_s": float(clock + 2 * leg), "distance_m": 40 * n})
            clock += 2 * leg + 10
    return out


if sys.argv[1] == "ladder":
    print(json.dumps({"id": "ir1", "bouts": bouts("ir1")}, indent=2))
else:
    label = sys.argv[2]
    hits = [{"id": name, "bout": b["bout"], "distance_m": b["distance_m"]} for name in LADDERS for b in bouts(name) if b["label"] == label]
    print(json.dumps({"exists_on": hits}, indent=2))
