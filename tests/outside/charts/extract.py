"""Charts in numbers from harmonic analyses of public-domain chorales that music21's corpus ships.

Two chords a bar at most: what stands on the first beat and what stands half way. One chart a line: the work's number
in the corpus, a tab, the chart.
"""
import sys
import warnings

warnings.filterwarnings("ignore")
from music21 import corpus, pitch, stream  # noqa: E402

WANTED = 20
DEGREES = ["1", "b2", "2", "b3", "3", "4", "#4", "5", "b6", "6", "b7", "7"]
NAMES = ["C", "Db", "D", "Eb", "E", "F", "F#", "G", "Ab", "A", "Bb", "B"]


def number(chord, tonic):
    """A Roman numeral as the trade writes it: degree above the tonic, then the quality."""
    above = (chord.root().pitchClass - tonic) % 12
    classes = {(p.pitchClass - chord.root().pitchClass) % 12 for p in chord.pitches}
    minor = 3 in classes and 4 not in classes
    seventh = 10 in classes
    if minor and 6 in classes and 7 not in classes:
        quality = "m7b5" if seventh else "dim7" if 9 in classes else "dim"
    elif minor:
        quality = "-7" if seventh else "-"
    elif 8 in classes and 7 not in classes:
        quality = "+"
    elif 11 in classes:
        quality = "maj7"
    else:
        quality = "7" if seventh else ""
    return DEGREES[above] + quality


def chart(score):
    chords = list(score.recurse().getElementsByClass("RomanNumeral"))
    first = chords[0].key
    tonic = first.tonic.pitchClass
    metre = score.recurse().getElementsByClass("TimeSignature").first()
    if metre is None or metre.ratioString not in ("4/4", "3/4"):
        return None
    length = metre.barDuration.quarterLength
    halves = [0] if metre.ratioString == "3/4" else [0, length / 2]
    bars = []
    for measure in score.parts[0].getElementsByClass("Measure"):
        if measure.number == 0:
            continue
        own = list(measure.getElementsByClass("RomanNumeral"))
        here = []
        for at in halves:
            sounding = [c for c in own if c.offset <= at]
            if sounding:
                here.append(number(sounding[-1], tonic))
        if not here:
            here = [bars[-1][-1]] if bars else [number(chords[0], tonic)]
        if len(here) == 2 and here[0] == here[1]:
            here = here[:1]
        bars.append(here)
    if not 6 <= len(bars) <= 40:
        return None
    name = NAMES[tonic] + ("m" if first.mode == "minor" else "")
    body = " ".join(b[0] if len(b) == 1 else "(" + " ".join(b) + ")" for b in bars)
    return f"key {name}, 84, {metre.ratioString}; {body}"


found = 0
for path in sorted(str(p) for p in corpus.getPaths()):
    if "choraleAnalyses" not in path or found == WANTED:
        continue
    try:
        text = chart(corpus.parse(path))
    except Exception:  # an analysis that this version of the library can't read
        continue
    if text:
        found += 1
        print(path.rsplit("/", 1)[1].split(".")[0], text, sep="\t")
