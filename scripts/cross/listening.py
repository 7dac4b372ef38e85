"""Recordings made bad by scipy and ffmpeg, heard by `plimsoll listen`.

Source: scipy's polyphase resampling (its own low-pass), numpy's noise, ffmpeg's encoders; the truth is how the
recording was made. Tolerances: speed 50 ppm, the length of a pause 0.1 s, a first start 5 ms (AAC: 40 ms, since its
encoder's delay is not passed on by every decoder).
"""

import json
import os
import subprocess
import tempfile
import warnings
from pathlib import Path

import numpy as np
from scipy.io import wavfile
from scipy.signal import resample_poly

PLIMSOLL = os.environ["PLIMSOLL"]


def run(*words):
    return subprocess.run([str(w) for w in words], capture_output=True, text=True)


def hear(path, *words):
    out = run(PLIMSOLL, "--json", "listen", path, *words)
    assert out.returncode in (0, 1), out.stderr
    return json.loads(out.stdout)


def write(path, rate, samples):
    wavfile.write(path, rate, (samples / np.abs(samples).max() * 0.8 * 32767).astype("int16"))


def noise(samples, snr_db, rng):
    loud = samples[np.abs(samples) > 0.05 * np.abs(samples).max()]
    return samples + rng.standard_normal(len(samples)) * np.sqrt(np.mean(loud**2) / 10 ** (snr_db / 10))


def degraded(track, folder):
    """0.3 % slow, 8 kHz, a pause of 20 s at 7:10, white noise at 5 dB."""
    with warnings.catch_warnings():
        # Tags and chapter marks are chunks that scipy does not read.
        warnings.simplefilter("ignore", wavfile.WavFileWarning)
        rate, samples = wavfile.read(track)
    assert rate == 48000
    # 48,000 to 8,000 samples a second, each second stretched to 1.003: 1003 for each 6,000.
    slow = resample_poly(samples.astype(float) / 32768, 1003, 6000)
    at = 430 * 8000
    paused = np.concatenate([slow[:at], np.zeros(20 * 8000), slow[at:]])
    path = folder / "bad.wav"
    write(path, 8000, noise(paused, 5, np.random.default_rng(3)))
    return path


def pips(test, slow, folder):
    """Plain pips of 1 kHz at every cue of eight minutes: no sound of ours, no code."""
    bouts = json.loads(run(PLIMSOLL, "ladder", test, "--json").stdout)["bouts"]
    times = sorted({t for b in bouts for t in [b["start_s"], *b["turns_s"], b["finish_s"]] if t < 480})
    samples = np.zeros(8000 * 520)
    pip = np.sin(2 * np.pi * 1000 * np.arange(1200) / 8000) * np.hanning(1200) ** 0.2
    for t in times:
        at = round((11.3 + slow * t) * 8000)
        samples[at : at + len(pip)] = pip
    path = folder / f"{test}.wav"
    write(path, 8000, noise(samples, 10, np.random.default_rng(9)))
    return path


def main():
    folder = Path(tempfile.mkdtemp())
    track = folder / "track.wav"
    made = run(PLIMSOLL, "cues", "ir1", "--out", track, "--language", "es", "--minutes", "15")
    assert made.returncode == 0, made.stderr

    heard = hear(degraded(track, folder), "--test", "ir1")
    truth = (1 / 1.003 - 1) * 1e6
    assert heard["kind"] == "own" and heard["test"] == "ir1", heard["meaning"]
    assert abs(heard["speed_error_ppm"] - truth) < 50, heard["speed_error_ppm"]
    (gap,) = heard["gaps"]
    assert gap["kind"] == "pause" and abs(gap["length_s"] - 20) < 0.1, gap
    assert gap["between_s"][0] <= 430 <= gap["between_s"][1], gap
    lead = json.loads((folder / "track.wav.cues.json").read_text())["cues"]
    start = next(c["t_s"] for c in lead if c["kind"] == "start")
    assert abs(heard["offset_s"] - 1.003 * start) < 0.005, heard["offset_s"]
    print(f"scipy: speed {heard['speed_error_ppm']:.2f} for {truth:.2f} ppm, pause {gap['length_s']:.3f} s, "
          f"{heard['cues_heard']} of {heard['cues_expected']} cues")

    for name, late, words in [
        ("phone.m4a", 0.04, ["-c:a", "aac", "-b:a", "64k"]),
        ("old.mp3", 0.005, ["-c:a", "libmp3lame", "-b:a", "32k", "-ar", "16000"]),
        ("phone.ogg", 0.005, ["-c:a", "libvorbis", "-ar", "32000"]),
        ("note.opus", 0.005, ["-c:a", "libopus", "-b:a", "24k"]),
        ("phone.flac", 0.005, ["-c:a", "flac", "-ar", "44100", "-ac", "2"]),
    ]:
        path = folder / name
        out = run("ffmpeg", "-y", "-loglevel", "error", "-t", "150", "-i", track, *words, path)
        assert out.returncode == 0, out.stderr
        heard = hear(path)
        assert heard["test"] == "ir1" and heard["cues_heard"] == heard["cues_expected"] > 18, (name, heard["meaning"])
        assert abs(heard["speed_error_ppm"]) < 5, (name, heard["speed_error_ppm"])
        assert -0.001 < heard["offset_s"] - start < late, (name, heard["offset_s"])
        print(f"{name}: {heard['cues_heard']} cues, {1000 * (heard['offset_s'] - start):+.2f} ms, "
              f"{heard['speed_error_ppm']:+.2f} ppm")

    for test, slow in [("msr20", 1.02), ("int30_15_40", 0.985)]:
        heard = hear(pips(test, slow, folder))
        truth = (1 / slow - 1) * 1e6
        assert heard["kind"] == "foreign" and heard["test"] == test, heard["meaning"]
        assert abs(heard["speed_error_ppm"] - truth) < 200, heard["speed_error_ppm"]
        print(f"pips of {test}: {heard['cues_heard']} of {heard['cues_expected']}, "
              f"{heard['speed_error_ppm']:.0f} for {truth:.0f} ppm")

    rng = np.random.default_rng(5)
    path = folder / "noise.wav"
    write(path, 8000, rng.standard_normal(5 * 60 * 8000))
    assert hear(path)["test"] is None
    print("noise: not recognised")


main()
