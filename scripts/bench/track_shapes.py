"""The sounds of the cues with numpy, as docs/formats/cue-sounds.md has them."""

import numpy as np

SHAPES = {
    "countdown": [(0, 70, 0.6, [(1000, 0.7), (2000, 0.3)])],
    "recovery_end": [(0, 45, 0.3, [(1000, 1.0)]), (110, 45, 0.3, [(1000, 1.0)])],
    "stage": [(0, 180, 0.45, [(2640, 0.5), (3520, 0.5)])],
    "start": [(0, 90, 0.9, [(1500, 0.6), (3000, 0.4)]), (90, 110, 0.9, [(2250, 0.7), (3000, 0.3)])],
    "turn": [(0, 130, 0.9, [(2000, 0.65), (3000, 0.35)])],
    "finish": [(0, 260, 1.0, [(1600, 0.3), (2400, 0.45), (3200, 0.25)])],
}


def shape(kind, rate):
    parts = SHAPES[kind]
    out = np.zeros(max(a + b for a, b, _, _ in parts) * rate // 1000)
    for start, length, level, partials in parts:
        n = np.arange(length * rate // 1000)
        attack = 0.3 + 0.7 * np.minimum(n / (rate / 1000), 1)
        release = 0.5 - 0.5 * np.cos(np.pi * np.minimum((len(n) - n - 0.5) / (0.012 * rate), 1))
        tone = sum(w * np.cos(2 * np.pi * hz * n / rate) for hz, w in partials)
        out[start * rate // 1000 :][: len(n)] += level * attack * release * tone
    return out
