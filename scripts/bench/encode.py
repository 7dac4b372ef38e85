"""The samples of a WAV file written as FLAC by libsndfile.

Source: the peer of `plimsoll cues ID --out FILE.flac --no-speech`. Usage: encode.py IN.wav OUT.flac
"""

import sys

import soundfile

samples, rate = soundfile.read(sys.argv[1], dtype="int16")
soundfile.write(sys.argv[2], samples, rate, subtype="PCM_16", format="FLAC")
