#!/usr/bin/env python3
"""Makes crates/sound/voices/<code>.ogg and <code>.toml from words.py. Run by hand; the result is committed.

Needs espeak-ng, flite and ffmpeg (libvorbis) on the path, nothing from outside Debian and no Python package.
usage: scripts/voice/make.py [code ...]
"""
import array
import math
import subprocess
import sys
import tempfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

from words import ESPEAK, FLITE, LANGUAGES, clips

OUT = Path(__file__).resolve().parents[2] / "crates/sound/voices"
RATE = 16_000
MS = RATE // 1000
GAP_MS = 50          # silence between two clips, and before the first
WINDOW = 5 * MS      # loudness is looked at in windows of 5 ms when trimming
TRIM_DB = -38.0      # below the loudest window: silence
PAD = 2              # windows kept at either end
FADE = 4 * MS
TARGET_RMS = 0.125   # -18.1 dB of full scale
CEILING = 0.93       # before the codec, which overshoots a little
KBIT = 22             # where words.py names no other
ESPEAK_WPM = 165   # where words.py names no other; Arabic words are long, and room is short
LICENCE = {
    ESPEAK: "espeak-ng is GPL-3.0-or-later; the sound it makes is not, in general, a work derived from the program",
    FLITE: "flite and its voice slt are under the permissive CMU licence",
}


def run(*command, text=None):
    done = subprocess.run(command, check=True, capture_output=True, input=text)
    return done.stdout


def version(synth):
    if synth == ESPEAK:
        return run(ESPEAK, "--version").decode().split("text-to-speech:")[1].split()[0]
    return run("dpkg-query", "-W", "-f", "${Version}", "flite").decode()


def speak(language, fed, folder, name):
    """Returns the samples of one utterance: 16 kHz, mono, high-passed at 150 Hz."""
    wav = f"{folder}/{name}.wav"
    if language["synth"] == FLITE:
        run(FLITE, "-voice", language["voice"], "-t", fed, "-o", wav)
    else:
        speed = str(language.get("wpm", ESPEAK_WPM))
        run(ESPEAK, "-v", language["voice"], "-s", speed, "-w", wav, "--stdin", text=fed.encode())
    filters = ",".join(["highpass=f=150", *language.get("filters", [])])
    raw = run("ffmpeg", "-v", "error", "-i", wav, "-af", filters, "-ac", "1", "-ar", str(RATE),
              "-f", "f32le", "-")
    samples = array.array("f")
    samples.frombytes(raw)
    return samples


def rms(samples):
    return math.sqrt(sum(s * s for s in samples) / max(1, len(samples)))


def shape(samples):
    """Trims, fades, pads to whole milliseconds and brings the clip to the common loudness."""
    loud = [rms(samples[i:i + WINDOW]) for i in range(0, len(samples), WINDOW)]
    floor = max(loud) * 10 ** (TRIM_DB / 20)
    kept = [i for i, value in enumerate(loud) if value > floor]
    clip = samples[max(0, kept[0] - PAD) * WINDOW:(kept[-1] + 1 + PAD) * WINDOW]
    clip.extend([0.0] * (-len(clip) % MS))
    for i in range(FADE):
        clip[i] *= i / FADE
        clip[-1 - i] *= i / FADE
    # A soft knee on the few highest peaks, with the gain that makes the result exactly as loud as all the others.
    low, high = 0.0, 2 * TARGET_RMS / rms(clip)
    for _ in range(24):
        gain = (low + high) / 2
        shaped = array.array("f", (soft(s * gain) for s in clip))
        low, high = (gain, high) if rms(shaped) < TARGET_RMS else (low, gain)
    assert abs(rms(shaped) / TARGET_RMS - 1) < 0.01
    return shaped


def soft(sample):
    knee = 0.6
    size = abs(sample)
    if size <= knee:
        return sample
    room = CEILING - knee
    return math.copysign(knee + room * math.tanh((size - knee) / room), sample)


def quote(text):
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def make(code):
    language = LANGUAGES[code]
    table = list(clips(code))
    with tempfile.TemporaryDirectory() as folder, ThreadPoolExecutor(2) as pool:
        jobs = [pool.submit(speak, language, fed, folder, key) for key, _, fed in table]
        shaped = [shape(job.result()) for job in jobs]

    track = array.array("f", [0.0] * (GAP_MS * MS))
    lines = []
    for (key, shown, fed), clip in zip(table, shaped):
        assert max(abs(s) for s in clip) <= CEILING, key
        start, ms = len(track) // MS, len(clip) // MS
        other = f", fed = {quote(fed)}" if fed != shown else ""
        lines.append(f"{key if key.replace('-', '').isalnum() else quote(key)} = "
                     f"{{ start = {start}, ms = {ms}, text = {quote(shown)}{other} }}")
        track.extend(clip)
        track.extend([0.0] * (GAP_MS * MS))

    ogg = OUT / f"{code}.ogg"
    run("ffmpeg", "-v", "error", "-y", "-f", "f32le", "-ar", str(RATE), "-ac", "1", "-i", "-", "-c:a", "libvorbis",
        "-b:a", f"{language.get('kbit', KBIT)}k", "-map_metadata", "-1", "-fflags", "+bitexact", "-flags:a", "+bitexact", str(ogg),
        text=track.tobytes())

    synth = language["synth"]
    head = [
        "# Made by scripts/voice/make.py; edit scripts/voice/words.py instead.",
        f"language = {quote(code)}",
        f"rate = {RATE}",
        f"synthesiser = {quote(synth + ' ' + version(synth))}",
        f"voice = {quote(language['voice'])}",
        f"licence = {quote(LICENCE[synth])}",
        f"odd-seconds = {language['odd_seconds']}",
        "",
        "[forms]",
        *(f"{phrase} = [{', '.join('[' + ', '.join(map(quote, form)) + ']' for form in forms)}]"
          for phrase, forms in language["forms"].items()),
        "",
        "[clips]  # start and length in ms of the decoded file",
    ]
    (OUT / f"{code}.toml").write_text("\n".join(head + lines) + "\n", encoding="utf-8")
    peak = max(abs(s) for s in track)
    print(f"{code}: {len(table)} clips, {len(track) / RATE:.1f} s, {ogg.stat().st_size} bytes, peak {peak:.2f}, "
          f"longest {max(len(c) for c in shaped) / RATE:.2f} s, shortest {min(len(c) for c in shaped) / RATE:.2f} s")


if __name__ == "__main__":
    OUT.mkdir(exist_ok=True)
    for code in sys.argv[1:] or LANGUAGES:
        make(code)
