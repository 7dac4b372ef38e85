"""Ladders rebuilt from their published speeds with Python fractions.

Source: the speeds and counts of protocols/ir1.toml and msr20.toml; exact rational arithmetic of the
Python standard library, an implementation apart from ours.
"""

import json
import os
import subprocess
import tomllib
from fractions import Fraction
from pathlib import Path

HALF_NANO = Fraction(1, 2 * 10**9)
ROOT = Path(__file__).resolve().parents[2]


def ours(test):
    out = subprocess.run([os.environ["PLIMSOLL"], "ladder", test, "--json"], capture_output=True, text=True)
    assert out.returncode == 0, out.stderr
    return json.loads(out.stdout, parse_float=Fraction)["bouts"]


def definition(test):
    return tomllib.loads((ROOT / "protocols" / f"{test}.toml").read_text(), parse_float=Fraction)


def bouts_with_recovery(test):
    d = definition(test)
    leg, legs = Fraction(d["course"]["leg_m"]["value"]), d["pace"]["legs"]["value"]
    rest = Fraction(d["pace"]["recovery_s"]["value"])
    clock, out = Fraction(0), []
    for stage in d["stage"]:
        run = legs * Fraction(stage.get("leg_m", leg)) * Fraction(36, 10) / Fraction(stage["speed_kmh"])
        for _ in range(stage["bouts"]):
            out.append((clock, clock + run))
            clock += run + rest
    return out


def exact_minutes(test):
    d = definition(test)
    leg = Fraction(d["course"]["leg_m"]["value"])
    clock, run, line, last, out = Fraction(0), Fraction(0), leg, Fraction(0), []
    for stage in d["stage"]:
        v = Fraction(stage["speed_kmh"]) / Fraction(36, 10)
        end = run + v * Fraction(stage["duration_s"])
        while line <= end:
            at = clock + (line - run) / v
            out.append((last, at))
            last, line = at, line + leg
        clock, run = clock + Fraction(stage["duration_s"]), end
    return out


def main():
    checked = 0
    for test, build in [("ir1", bouts_with_recovery), ("ir2", bouts_with_recovery), ("int12_6", bouts_with_recovery),
                        ("int45_15", bouts_with_recovery), ("msr20", exact_minutes), ("msr20_2min", exact_minutes),
                        ("msr40", exact_minutes), ("track_1min", exact_minutes), ("msr20_preschool", exact_minutes)]:
        got, want = ours(test), build(test)
        assert len(got) == len(want), (test, len(got), len(want))
        for g, (start, finish) in zip(got, want):
            assert abs(Fraction(g["start_s"]) - start) <= HALF_NANO, (test, g, start)
            assert abs(Fraction(g["finish_s"]) - finish) <= HALF_NANO, (test, g, finish)
            checked += 1
    print(f"{checked} bouts agree with exact fractions to half a nanosecond")


main()
