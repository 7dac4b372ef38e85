"""A track played 0.3 % too slowly and recorded in white noise at 20 dB: what listening is measured on.

Usage: badly.py IN.wav OUT.wav
"""

import sys

import numpy as np
import soundfile
from scipy.signal import resample_poly

samples, rate = soundfile.read(sys.argv[1], dtype="float32")
# 1003 samples for each 1000, a million at a time with room on both sides.
step, room, out = 1_000_000, 20_000, []
padded = np.concatenate([np.zeros(room, "float32"), samples, np.zeros(room + step, "float32")])
for start in range(0, len(samples), step):
    part = resample_poly(padded[start : start + step + 2 * room], 1003, 1000)
    first = room * 1003 // 1000
    out.append(part[first : first + step * 1003 // 1000])
slow = np.concatenate(out)[: len(samples) * 1003 // 1000]
loud = slow[np.abs(slow) > 0.05]
noise = np.random.default_rng(7).standard_normal(len(slow), dtype="float32")
noise *= np.sqrt(np.mean(loud**2) / 100)
both = slow + noise
soundfile.write(sys.argv[2], 0.7 * both / np.abs(both).max(), rate, subtype="PCM_16")
