"""Makes the fallback fonts in this folder from packaged fonts (needs fonttools).

Usage: python make.py CJK.ttc DEVANAGARI.ttf EMOJI.ttf OUT_DIR
Inputs and versions: see README.md. Only subsetting is done; no outline is changed.
"""

import sys
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTCollection, TTFont

SIMPLIFIED_CHINESE_FACE = 2  # order of faces in the collection: JP, KR, SC, TC, HK

CJK = (
    set(range(0x3000, 0x3100))  # CJK punctuation, Hiragana, Katakana
    | set(range(0x31F0, 0x3200))  # Katakana extensions
    | set(range(0xFF00, 0xFFF0))  # full- and half-width forms
    | set(range(0x4E00, 0xA000))  # Han, main block
    | set(range(0xF900, 0xFB00))  # Han, compatibility
    | {0x20BB7, 0x20B9F, 0x2000B}  # frequent name characters outside the main block
    | set(range(0x1100, 0x1200))  # Hangul letters
    | set(range(0x3131, 0x318F))  # Hangul compatibility letters
    | set(range(0xAC00, 0xD7A4))  # Hangul syllables
)


def cut(font, codepoints, features, out):
    options = subset.Options()
    options.layout_features = features
    options.hinting = False
    options.glyph_names = False
    options.notdef_outline = True
    options.name_IDs = [0, 1, 2, 3, 4, 5, 6, 13, 14]
    subsetter = subset.Subsetter(options)
    subsetter.populate(unicodes=codepoints)
    subsetter.subset(font)
    # The clock must not decide the bytes.
    font["head"].modified = font["head"].created
    font.recalcTimestamp = False
    font.save(out)
    print(out, len(font.getBestCmap()), Path(out).stat().st_size)


def main(cjk, devanagari, emoji, out):
    out = Path(out)
    face = TTCollection(cjk).fonts[SIMPLIFIED_CHINESE_FACE]
    cut(face, CJK, ["ccmp", "locl", "ljmo", "vjmo", "tjmo"], out / "NotoSansCJKsc-Regular-subset.otf")
    font = TTFont(devanagari)
    cut(font, set(font.getBestCmap()), ["*"], out / "NotoSansDevanagari-Regular-subset.ttf")
    font = TTFont(emoji)
    cut(font, set(font.getBestCmap()), ["*"], out / "NotoEmoji-Regular-subset.ttf")


main(*sys.argv[1:5])
