"""Writes what music21 says of notes, keys, degrees, chords and Roman numerals, as tab-separated rows.

Usage: python music21_table.py > music21.tsv
"""

import music21
from music21 import harmony, key, pitch, roman


TONICS = "Cb Gb Db Ab Eb Bb F C G D A E B F# C# G# D# A#".split()
DEGREES = "I bII II #II bIII III IV #IV bV V #V bVI VI #VI bVII VII".split()
ROOTS = [letter + sign for letter in "CDEFGAB" for sign in ("bb", "b", "", "#", "##")]
# The suffix of a chord symbol, music21's name for the kind, and a tone added to it: (step, alteration).
KINDS = [
    ("", "major", None), ("m", "minor", None), ("dim", "diminished", None), ("+", "augmented", None),
    ("5", "power", None), ("sus2", "suspended-second", None), ("sus4", "suspended-fourth", None),
    ("6", "major-sixth", None), ("m6", "minor-sixth", None), ("7", "dominant-seventh", None),
    ("maj7", "major-seventh", None), ("m7", "minor-seventh", None), ("mMaj7", "minor-major-seventh", None),
    ("dim7", "diminished-seventh", None), ("m7b5", "half-diminished-seventh", None),
    ("9", "dominant-ninth", None), ("add9", "major", (9, 0)), ("m9", "minor-ninth", None),
    ("maj9", "major-ninth", None), ("7sus4", "suspended-fourth-seventh", None),
    ("7#9", "dominant-seventh", (9, 1)), ("7b9", "dominant-seventh", (9, -1)), ("13", "dominant-13th", None),
]
ROMAN = [
    ("C", "I I6 I64 ii7 ii65 V V6 V7 V65 V43 V42 vi viio viio7 vii/o7 bVII iv bVI #ivo7 V7/V V/vi V7/ii viio7/V"),
    ("Eb", "I6 V65 bVII vi IV64 V7/V"),
    ("F#", "I6 V65 bVII vi IV64 V7/V"),
    ("a", "i i6 iv V7 III VI VII viio7 iio6 V7/V"),
    ("eb", "i6 V65 III VI VII"),
]


def name(of):
    return of.name.replace("-", "b")


def m21(text):
    return text.replace("b", "-")


def row(*cells):
    print("\t".join(str(cell) for cell in cells))


def chord_of(root, kind, added):
    symbol = harmony.ChordSymbol(root=m21(root), kind=kind)
    if added:
        symbol.addChordStepModification(harmony.ChordStepModification("add", *added))
    return sorted({name(p) for p in symbol.pitches})


print(f"# music21 {music21.__version__}: written by music21_table.py")
for number in range(128):
    row("note", number, f"{pitch.Pitch(midi=number).frequency:.4f}")
for root in ROOTS:
    note = pitch.Pitch(m21(root))
    row("named", root, note.german, note.italian)
for mode, fifths in [(mode, n) for mode in ("major", "minor") for n in range(-7, 8)]:
    this = key.KeySignature(fifths).asKey(mode)
    scale = [name(p) for p in this.getPitches()[:7]]
    row("key", name(this.tonic) + ("m" if mode == "minor" else ""), this.sharps, " ".join(scale))
for tonic in TONICS:
    for degree in DEGREES:
        row("degree", tonic, degree, name(roman.RomanNumeral(degree, key.Key(m21(tonic))).root()))
for root in ROOTS:
    for suffix, kind, added in KINDS:
        row("chord", root, suffix, " ".join(chord_of(root, kind, added)))
for tonic, figures in ROMAN:
    for figure in figures.split():
        numeral = roman.RomanNumeral(figure, key.Key(m21(tonic) if tonic != "b" else tonic))
        this = tonic[0].upper() + tonic[1:] + ("m" if tonic[0].islower() else "")
        plain = figure.replace("/o", "ø")
        row("roman", this, plain, name(numeral.bass()), " ".join(sorted({name(p) for p in numeral.pitches})))
