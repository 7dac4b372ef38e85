"""A whole cue track with numpy and soundfile: cues, codes, loudness by BS.1770, sixteen bits on disk.

Source: the peer of `plimsoll cues ID --out FILE.wav --no-speech`; waveforms as in docs/formats/cue-sounds.md.
Usage: track.py CUES.json OUT.wav
"""

import json
import sys

import numpy as np
import pyloudnorm
import soundfile

from track_shapes import shape

def code(seed, rate):
    """Fifteen tones of a code; which ones does not matter to the time it takes."""
    n = np.arange(rate // 50)
    edge = np.minimum(np.minimum(n, len(n) - 1 - n) + 0.5, 0.003 * rate) / (0.003 * rate)
    envelope = 0.5 - 0.5 * np.cos(np.pi * edge)
    tones = [(seed * 7 + i * 5) % 16 for i in range(15)]
    return np.concatenate([envelope * np.sin(2 * np.pi * (1125 + 125 * t) * n / rate) for t in tones])


def main(cues_path, out_path):
    track = json.load(open(cues_path))
    rate = track["sample_rate"]
    out = np.zeros(track["samples"])
    shapes = {}
    for i, cue in enumerate(track["cues"]):
        kind = cue["kind"]
        sound = shapes.setdefault(kind, shape(kind, rate))
        at = cue["sample"]
        out[at : at + len(sound)] += sound
        if cue["code"]:
            tones = code(i, rate)
            at += len(sound) + rate * 40 // 1000
            out[at : at + len(tones)] += 0.4 * tones
    loudness = pyloudnorm.Meter(rate).integrated_loudness(out)
    gain = min(10 ** ((-14 - loudness) / 20), 10 ** (-1 / 20) / np.abs(out).max())
    soundfile.write(out_path, out * gain, rate, subtype="PCM_16")


main(*sys.argv[1:])
