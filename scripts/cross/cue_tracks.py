"""Cue tracks measured from outside: onsets, sounds, tone codes, loudness and decoding.

Source: docs/formats/cue-sounds.md and tone-code.md for what must sound; the speeds of protocols/ir1.toml in exact
fractions for when; ffmpeg's ebur128 filter (ITU-R BS.1770) for loudness; ffmpeg and SoX as decoders.
"""

import itertools
import json
import os
import re
import subprocess
import tempfile
import tomllib
from fractions import Fraction
from pathlib import Path

import numpy as np
from scipy.signal import correlate, resample_poly

ROOT = Path(__file__).resolve().parents[2]

# Tolerances, each with its reason.
ONSET = 1          # samples: an instant is rounded once to a sample
QUIET = 16         # LSB: below this is silence (-66 dB)
QUIET_MS = 5       # silence before an onset; every cue keeps 10 ms clear
RESIDUAL = 1.5     # LSB: rounding to 16 bit, 0.5, and single precision in the program
LUFS = 0.3         # LU: the filter prints one decimal and gates each 0.1 s
PEAK = 0.2         # dB: oversampling filters differ
MP3_LAG = 2        # samples: delay is declared, the coder smears the attack
MP3_LENGTH = 1152  # samples: at most one frame beyond the WAV


def run(*args):
    out = subprocess.run([str(a) for a in args], capture_output=True)
    assert out.returncode == 0, (args, out.stdout.decode()[-400:], out.stderr.decode()[-400:])
    return out


def cues(folder, test, name, *options):
    """Makes a track and returns its document and path."""
    path = folder / name
    out = run(os.environ["PLIMSOLL"], "cues", test, "--out", path, "--json", *options)
    document = json.loads(out.stdout, parse_float=Fraction)
    beside = json.loads(path.with_name(path.name + ".cues.json").read_text(), parse_float=Fraction)
    assert document == beside, "the list beside the track is another"
    return document, path


def wav(path):
    """Reads 16-bit samples straight from the chunks; of two equal channels one."""
    raw = np.memmap(path, dtype=np.uint8, mode="r")
    assert bytes(raw[:4]) == b"RIFF" and bytes(raw[8:12]) == b"WAVE"
    at, channels, rate = 12, 0, 0
    while True:
        size = int.from_bytes(bytes(raw[at + 4:at + 8]), "little")
        if bytes(raw[at:at + 4]) == b"fmt ":
            head = bytes(raw[at + 8:at + 24])
            assert head[:2] == b"\1\0" and head[14:16] == b"\x10\0"
            channels, rate = head[2], int.from_bytes(head[4:8], "little")
        if bytes(raw[at:at + 4]) == b"data":
            x = np.asarray(raw[at + 8:at + 8 + size]).view("<i2").reshape(-1, channels)
            assert all(np.array_equal(x[:, 0], x[:, c]) for c in range(1, channels))
            return x[:, 0], rate
        at += 8 + size + size % 2


def onsets(x, rate):
    """Finds where sound begins after silence, knowing nothing of the track."""
    loud = np.flatnonzero((x > QUIET) | (x < -QUIET))
    return loud[np.diff(loud, prepend=-rate) > rate * QUIET_MS // 1000]


def near(found, wanted):
    """Returns the distance from each wanted sample to the nearest found one."""
    i = np.clip(np.searchsorted(found, wanted), 1, len(found) - 1)
    return np.minimum(np.abs(found[i] - wanted), np.abs(found[i - 1] - wanted))


def nearest(value):
    return int(value + Fraction(1, 2))


def samples(ms, rate):
    return nearest(Fraction(ms * rate, 1000))


# docs/formats/cue-sounds.md: from ms, length ms, level, partials (Hz, weight).
SOUNDS = {
    "countdown": [(0, 70, 0.6, [(1000, 0.7), (2000, 0.3)])],
    "recovery_end": [(0, 45, 0.3, [(1000, 1.0)]), (110, 45, 0.3, [(1000, 1.0)])],
    "stage": [(0, 180, 0.45, [(2640, 0.5), (3520, 0.5)])],
    "start": [(0, 90, 0.9, [(1500, 0.6), (3000, 0.4)]), (90, 110, 0.9, [(2250, 0.7), (3000, 0.3)])],
    "turn": [(0, 130, 0.9, [(2000, 0.65), (3000, 0.35)])],
    "line": [(0, 70, 0.8, [(1800, 0.65), (3600, 0.35)])],
    "finish": [(0, 260, 1.0, [(1600, 0.3), (2400, 0.45), (3200, 0.25)])],
    "stop": [(t, n, 1.0, [(2400, 0.6), (1200, 0.4)]) for t, n in [(0, 160), (200, 160), (400, 240)]],
}


def length_ms(kind):
    return max(start + long for start, long, _, _ in SOUNDS[kind])


def sound(kind, rate):
    out = np.zeros(samples(length_ms(kind), rate))
    for start, long, level, partials in SOUNDS[kind]:
        first, end = samples(start, rate), samples(start + long, rate)
        i = np.arange(end - first)
        attack = 0.3 + 0.7 * np.minimum(i / (0.001 * rate), 1)
        release = 0.5 - 0.5 * np.cos(np.pi * np.minimum((end - first - i - 0.5) / (0.012 * rate), 1))
        tone = sum(w * np.cos(2 * np.pi * hz * i / rate) for hz, w in partials)
        out[first:end] += level * attack * release * tone
    return out


# docs/formats/tone-code.md.
MASK = [3, 12, 6, 9, 1, 14, 4, 11, 0, 7, 13, 2, 10, 5, 15]
KINDS = ["start", "turn", "line", "finish", "stage", "stop"]


def times(a, b):
    """Multiplies in GF(16) modulo x^4 + x + 1, bit by bit."""
    product = 0
    for bit in range(4):
        product ^= (a << bit) if b >> bit & 1 else 0
    for bit in (6, 5, 4):
        product ^= (0b10011 << (bit - 4)) if product >> bit & 1 else 0
    return product


POINT = [1]
while len(POINT) < 15:
    POINT.append(times(POINT[-1], 2))
INVERSE = {a: b for a in range(1, 16) for b in range(1, 16) if times(a, b) == 1}


def word(fingerprint, bout, kind, part):
    bits = int(fingerprint[:4], 16) << 16 | bout << 7 | KINDS.index(kind) << 4 | part
    carried = [bits >> (28 - 4 * i) & 15 for i in range(8)]
    out = []
    for x in POINT:
        value = 0
        for i, term in enumerate(carried):
            for j in range(8):
                if j != i:
                    term = times(times(term, x ^ POINT[j]), INVERSE[POINT[i] ^ POINT[j]])
            value ^= term
        out.append(value)
    assert out[:8] == carried
    return [v ^ m for v, m in zip(out, MASK)]


def tones(symbols, rate):
    n = samples(20, rate)
    i = np.arange(n)
    edge = np.minimum((np.minimum(i, n - 1 - i) + 0.5) / (0.003 * rate), 1)
    envelope = 0.5 - 0.5 * np.cos(np.pi * edge)
    return np.concatenate([envelope * np.sin(2 * np.pi * (1125 + 125 * s) * i / rate) for s in symbols])


def lag(x, at, template, around):
    """Returns where a template lies, by cross-correlation, against where it should."""
    piece = x[at - around:at + len(template) + around].astype(float)
    return int(np.argmax(correlate(piece, template, mode="valid", method="fft"))) - around


def fits(x, at, template, scale, what):
    """A template lies exactly at a sample and leaves nothing but rounding."""
    assert lag(x, at, template, 400) == 0, what
    rest = np.abs(x[at:at + len(template)] - scale * template).max()
    assert rest <= RESIDUAL, (what, rest)


def ir1_instants():
    """Starts, turns and finishes from the published speeds, in exact fractions."""
    d = tomllib.loads((ROOT / "protocols/ir1.toml").read_text(), parse_float=Fraction)
    clock, out = Fraction(0), []
    for stage in d["stage"]:
        run_s = 40 * Fraction(36, 10) / Fraction(stage["speed_kmh"])
        for _ in range(stage["bouts"]):
            out += [("start", clock), ("turn", clock + run_s / 2), ("finish", clock + run_s)]
            clock += run_s + 10
    return out


def onsets_of_level_one(document, x, rate):
    found = onsets(x, rate)
    lead = next(c["t_s"] for c in document["cues"] if c["kind"] == "start")
    instants = ir1_instants()
    for kind in ("start", "turn", "finish"):
        wanted = [nearest((lead + t) * rate) for k, t in instants if k == kind]
        listed = [c["sample"] for c in document["cues"] if c["kind"] == kind]
        assert len(wanted) == len(listed) == 91 and wanted == listed, kind
        assert near(found, np.array(wanted)).max() <= ONSET, kind
    every = np.array([nearest(c["t_s"] * rate) for c in document["cues"]])
    assert near(found, every).max() <= ONSET
    print(f"ir1 with speech: {len(every)} cues found by their onsets, worst {near(found, every).max()} samples off")


def every_definition(folder):
    listed = json.loads(run(os.environ["PLIMSOLL"], "tests", "--json").stdout)
    paced, count, worst = 0, 0, 0
    for test in (t["id"] for t in listed if t["shape"] in ("bouts", "timed_runs", "continuous")):
        document, path = cues(folder, test, f"{test}.wav", "--no-speech", "--no-code", "--rate", "44100")
        x, rate = wav(path)
        wanted = set()
        for cue in document["cues"]:
            at = nearest(cue["t_s"] * rate)
            assert at == cue["sample"], (test, cue)
            # Parts after a pause have an onset of their own; the second part of "start" follows at once.
            wanted |= {at + samples(start, rate) for start, *_ in SOUNDS[cue["kind"]] if start != 90}
        wanted, found = np.array(sorted(wanted)), onsets(x, rate)
        # Nothing else sounds: as many onsets as sounds, each in its place.
        assert len(found) == len(wanted), (test, len(found), len(wanted))
        assert len(x) == document["samples"], test
        off = np.abs(found - wanted).max()
        assert off <= ONSET, (test, off)
        paced, count, worst = paced + 1, count + len(found), max(worst, off)
        path.unlink()
    assert paced >= 19, paced
    print(f"{paced} paced tests: {count} onsets, worst {worst} samples off, and none beside them")


def sounds_and_codes(document, x, rate):
    """Rebuilds each kind of sound, and codes spread over the track, from the two pages alone."""
    shapes = {kind: sound(kind, rate) for kind in SOUNDS}
    at = {}
    for cue in document["cues"]:
        at.setdefault(cue["sample"], []).append(cue)
    alone = [c[0] for c in at.values() if len(c) == 1]
    first = next(c for c in alone if c["kind"] in ("turn", "line"))
    own = shapes[first["kind"]]
    scale = float(x[first["sample"]:first["sample"] + len(own)] @ own / (own @ own))
    for cue in alone:
        fits(x, cue["sample"], shapes[cue["kind"]], scale, cue)
    for together in (c for c in at.values() if len(c) > 1):
        mixed = np.zeros(max(len(shapes[c["kind"]]) for c in together))
        for cue in together:
            mixed[:len(shapes[cue["kind"]])] += shapes[cue["kind"]]
        fits(x, together[0]["sample"], mixed, scale, together)
    parts, coded = {}, []
    for cue in document["cues"]:
        key = (cue["bout"], cue["kind"])
        parts[key] = parts.get(key, -1) + 1
        if cue["code"]:
            part = 0 if cue["kind"] == "stop" else parts[key]
            coded.append((cue, word(document["fingerprint"], cue["bout"], cue["kind"], part)))
    for cue, symbols in coded[::max(1, len(coded) // 10)]:
        begin = cue["sample"] + samples(length_ms(cue["kind"]) + 40, rate)
        fits(x, begin, tones(symbols, rate), 0.4 * scale, cue)
    apart = min(sum(a != b for a, b in zip(one, other)) for (_, one), (_, other) in itertools.combinations(coded, 2))
    assert apart >= 8, apart
    kinds = sorted({c["kind"] for c in document["cues"]})
    print(f"{document['test']} at {rate} Hz: {len(at)} sounds ({', '.join(kinds)}) and "
          f"{len(coded[::max(1, len(coded) // 10)])} of {len(coded)} codes rebuilt to {RESIDUAL} LSB; "
          f"codes at least {apart} symbols apart")


def true_peak(x):
    """Returns the true peak, dBFS: eightfold oversampling wherever a sample comes near the highest."""
    step, edge, highest = 1 << 14, 64, np.abs(x.astype(np.int32)).max()
    peak = 0.0
    for start in range(0, len(x), step):
        piece = x[max(0, start - edge):start + step + edge].astype(float)
        if np.abs(piece).max() >= 0.8 * highest:
            peak = max(peak, np.abs(resample_poly(piece, 8, 1)).max())
    return 20 * np.log10(peak / 32768)


def loudness(document, path, ceiling, peak_too):
    """Compares with ffmpeg's meter; its true peak takes long, so it is for short tracks."""
    meter = "ebur128=framelog=verbose" + (":peak=true" if peak_too else "")
    text = run("ffmpeg", "-nostats", "-hide_banner", "-i", path, "-map", "0:a", "-af", meter, "-f", "null", "-").stderr.decode()
    end = text[text.rindex("Summary:"):]
    heard = float(re.search(r"I:\s+(-?[\d.]+) LUFS", end).group(1))
    ours, own_peak = float(document["integrated_lufs"]), float(document["true_peak_dbtp"])
    assert abs(heard - ours) <= LUFS, (path.name, heard, ours)
    peaks = {"resampling": true_peak(wav(path)[0])}
    if peak_too:
        peaks["ffmpeg"] = float(re.search(r"Peak:\s+(-?[\d.]+) dBFS", end).group(1))
    assert own_peak <= ceiling + 1e-9 and max(peaks.values()) <= ceiling + PEAK, (path.name, own_peak, peaks)
    assert all(abs(peak - own_peak) <= PEAK for peak in peaks.values()), (path.name, own_peak, peaks)
    listed = ", ".join(f"{peak:.2f} dBTP by {name}" for name, peak in peaks.items())
    print(f"{path.name}: {heard} LUFS by ffmpeg, {ours:.2f} by us; {listed}, {own_peak:.2f} by us")


def decoded(path, rate):
    raw = run("ffmpeg", "-v", "error", "-i", path, "-map", "0:a", "-ac", "1", "-ar", rate, "-f", "s16le", "-").stdout
    return np.frombuffer(raw, dtype="<i2")


def sox_samples(path):
    return int(run("sox", "--i", "-s", path).stdout)


def formats(folder, document, x, rate, plain):
    _, flac = cues(folder, "ir1", "exact.flac")
    assert np.array_equal(decoded(flac, rate), x), "FLAC is not the WAV"
    assert sox_samples(flac) == sox_samples(plain) == len(x) == document["samples"]
    titles = json.loads(run("ffprobe", "-v", "error", "-show_chapters", "-show_format", "-of", "json", flac).stdout)
    assert len(titles["chapters"]) == 15, len(titles["chapters"])
    said = {name.lower(): text for name, text in titles["format"]["tags"].items()}
    assert document["fingerprint"] in said["comment"] and "level 1" in said["title"], said
    mp3_document, mp3 = cues(folder, "ir1", "lossy.mp3")
    y = decoded(mp3, rate)
    lags = []
    for cue in [c for c in document["cues"] if c["code"]][::13]:
        # The whole sound with its code: a steady tone alone would match at every period.
        at, end = cue["sample"] - rate // 100, cue["sample"] + samples(length_ms(cue["kind"]) + 380, rate)
        lags.append(lag(y, at, x[at:end].astype(float), 2000))
    assert max(map(abs, lags)) <= MP3_LAG, lags
    assert 0 <= len(y) - len(x) <= MP3_LENGTH and mp3_document["samples"] == len(x), (len(y), len(x))
    by_sox = sox_samples(mp3)
    assert abs(by_sox - len(x)) <= 3 * MP3_LENGTH, (by_sox, len(x))
    print(f"FLAC equals WAV in {len(x)} samples; MP3: lag {min(lags)} to {max(lags)} samples at {len(lags)} cues, "
          f"{len(y) - len(x)} samples longer by ffmpeg, {by_sox - len(x)} by SoX")


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        document, plain = cues(folder, "ir1", "plain.wav")
        x, rate = wav(plain)
        onsets_of_level_one(document, x, rate)
        sounds_and_codes(document, x, rate)
        loudness(document, plain, -1.0, False)
        formats(folder, document, x, rate, plain)
        # The kinds level one does not have, the other rate, two channels, other levels.
        short, path = cues(folder, "msr20", "short.wav", "--minutes", "2", "--no-speech", "--rate", "44100",
                           "--stereo", "--loudness", "-10", "--true-peak", "-3")
        sounds_and_codes(short, *wav(path))
        loudness(short, path, -3.0, True)
        lines, path = cues(folder, "track_2min", "lines.wav", "--until", "2.1", "--no-speech")
        assert any(c["kind"] == "line" for c in lines["cues"])
        sounds_and_codes(lines, *wav(path))
        every_definition(folder)


main()
