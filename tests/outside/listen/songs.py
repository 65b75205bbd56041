#!/usr/bin/env python3
"""Writes invented songs as MIDI with what is true of them (chords, beats, key, tempo), and has fluidsynth play them.

    songs.py FOLDER SET COUNT [STYLE]      SET is `train`, `dev` or `test`; each draws other songs

Everything is drawn from the seed: progressions, arrangement, tempo, tuning. `test` also uses a sound font and
instruments the others never use. For each song FOLDER gets NAME.mid, NAME.s16 (mono, 44 100 a second, 16 bit) and
NAME.json.
"""
import json, math, random, subprocess, sys
from pathlib import Path

import mido

TICKS = 480
RATE = 44100
FLUID, MUSE = "/usr/share/sounds/sf2/FluidR3_GM.sf2", "/usr/share/sounds/sf3/MuseScore_General_Lite.sf3"
TIM = "/usr/share/sounds/sf2/TimGM6mb.sf2"
FONTS = {"train": [FLUID, MUSE], "dev": [FLUID, MUSE], "test": [FLUID, TIM]}
NAMES = "C C# D Eb E F F# G Ab A Bb B".split()
TONES = {"maj": (0, 4, 7), "min": (0, 3, 7), "7": (0, 4, 7, 10), "maj7": (0, 4, 7, 11), "min7": (0, 3, 7, 10),
         "dim": (0, 3, 6), "sus4": (0, 5, 7)}
# Chords of a style: (semitones above the tonic, kinds with weights), and where they lead to in the list.
MAJOR = {
    "rock": [(0, "maj"), (5, "maj"), (7, "maj"), (10, "maj"), (9, "min"), (3, "maj"), (2, "min"), (8, "maj"), (4, "min"), (0, "7"), (7, "7")],
    "country": [(0, "maj"), (5, "maj"), (7, "maj"), (7, "7"), (9, "min"), (2, "min"), (2, "7"), (0, "7"), (2, "maj"), (9, "7"), (4, "min")],
    "ballad": [(0, "maj"), (0, "maj7"), (5, "maj7"), (9, "min7"), (2, "min7"), (7, "7"), (4, "min7"), (5, "maj"), (9, "min"), (7, "maj"), (5, "min"), (4, "7")],
    "waltz": [(0, "maj"), (5, "maj"), (7, "maj"), (7, "7"), (9, "min"), (2, "min"), (2, "7"), (0, "7"), (4, "min"), (9, "7"), (2, "min7")],
    "shuffle": [(0, "7"), (5, "7"), (7, "7"), (0, "maj"), (5, "maj"), (7, "maj"), (9, "7"), (2, "7"), (9, "min"), (10, "7")],
}
MINOR = {
    "rock": [(0, "min"), (10, "maj"), (8, "maj"), (3, "maj"), (5, "min"), (7, "maj"), (7, "min"), (0, "min7")],
    "country": [(0, "min"), (5, "min"), (7, "7"), (7, "maj"), (3, "maj"), (10, "maj"), (8, "maj")],
    "ballad": [(0, "min7"), (5, "min7"), (8, "maj7"), (3, "maj7"), (7, "7"), (10, "7"), (0, "min"), (10, "maj"), (8, "maj")],
    "waltz": [(0, "min"), (5, "min"), (7, "7"), (8, "maj"), (3, "maj"), (10, "maj"), (10, "7")],
    "shuffle": [(0, "min7"), (5, "min7"), (7, "7"), (0, "min"), (5, "min"), (8, "7"), (8, "maj")],
}
STYLES = ["rock", "country", "ballad", "waltz", "shuffle"]
TEMPI = {"rock": (92, 168), "country": (84, 152), "ballad": (56, 90), "waltz": (84, 176), "shuffle": (84, 150)}
COMP = {"rock": [29, 30, 27, 4, 18, 0], "country": [25, 24, 27, 0, 105], "ballad": [0, 4, 25, 88, 48, 24], "waltz": [0, 25, 21, 24, 1], "shuffle": [0, 27, 16, 26, 30]}
TEST_COMP = {"rock": [28, 2, 16], "country": [26, 3, 1], "ballad": [5, 49, 11], "waltz": [22, 48, 26], "shuffle": [3, 17, 28]}
PAD = [48, 49, 50, 16, 19, 89]
LEAD = [26, 27, 40, 22, 65, 73, 61, 30]
TEST_LEAD = [24, 71, 68, 56]
BASS = [32, 33, 34, 35]


def progression(draw, style, minor, bars, split):
    """A list of bars, each a list of (root, kind); mostly starts on the tonic and ends on 5 or 1."""
    pool = (MINOR if minor else MAJOR)[style]
    weights = [3.0 / (1 + 0.45 * i) for i in range(len(pool))]
    some = [pool[0]] + [c for c in pool[1:] if draw.random() < 0.65]
    kept = [weights[pool.index(c)] for c in some]
    tonic = draw.choice([c for c in pool if c[0] == 0][:2])
    out, now = [], tonic
    for bar in range(bars):
        if bar == 0:
            now = tonic if draw.random() < 0.8 else draw.choice(some)
        elif bar == bars - 1:
            now = draw.choice([c for c in pool if c[0] in (0, 7)])
        elif draw.random() < 0.75:
            now = draw.choices(some, kept)[0]
        if draw.random() < split:
            out.append([now, draw.choices(some, kept)[0]])
            now = out[-1][1]
        else:
            out.append([now])
    return out


class Track:
    """Notes of one channel, at beats."""

    def __init__(self, channel, program, cents, volume):
        self.channel, self.events = channel, []
        put = lambda *m: self.events.append((0, 0, mido.Message(*m[:1], channel=channel, **m[1])))
        if program is not None:
            put("program_change", {"program": program})
            bend = round(8192 + cents / 100 * 8192)
            for control, value in ((101, 0), (100, 1), (6, bend >> 7), (38, bend & 127), (101, 127), (100, 127)):
                put("control_change", {"control": control, "value": value})
        put("control_change", {"control": 7, "value": volume})

    def note(self, at, length, pitch, velocity):
        start, end = max(0, round(at * TICKS)), round((at + length) * TICKS)
        velocity = max(1, min(127, round(velocity)))
        self.events.append((start, 2, mido.Message("note_on", channel=self.channel, note=pitch, velocity=velocity)))
        self.events.append((max(end, start + 10), 1, mido.Message("note_off", channel=self.channel, note=pitch)))

    def midi(self):
        out, now = mido.MidiTrack(), 0
        for at, _, message in sorted(self.events, key=lambda e: (e[0], e[1])):
            out.append(message.copy(time=at - now))
            now = at
        return out


def voicing(root, kind, low):
    return sorted(low + (root + t - low) % 12 for t in TONES[kind])


def compose(name, kind_of_set, seed):
    draw = random.Random(f"{kind_of_set}-{seed}")
    style = STYLES[seed % len(STYLES)]
    minor, tonic = draw.random() < 0.25, draw.randrange(12)
    metre = 3 if style == "waltz" else 4
    tempo = round(draw.uniform(*TEMPI[style]), 1)
    cents = draw.choice([0, 0, draw.uniform(-30, 30), draw.uniform(-30, 30)])
    split = draw.choice([0.0, 0.1, 0.25, 0.4])
    length = draw.choice([4, 8, 8])
    parts = {p: progression(draw, style, minor, length, split) for p in "AB"}
    form = draw.choice(["AABA", "ABAB", "AABB", "AAB", "ABA"]) if length == 8 else draw.choice(["AABBAA", "AABAAB", "ABABAB", "AAAABB"])
    bars = [bar for p in form for bar in parts[p]] 
    if draw.random() < 0.8:
        bars.append([(0, "min" if minor else "maj")])
    lead_in = draw.choice([0.0, draw.uniform(0.1, 2.5)]) * tempo / 60
    swing = draw.choice([0.5, 0.5, 0.62, 0.667]) if style not in ("ballad", "shuffle") else 0.667 if style == "shuffle" else 0.5
    loose = draw.choice([0.0, 0.005, 0.012]) * tempo / 60
    has_drums = draw.random() < (0.85 if style != "ballad" else 0.6)
    comps = COMP[style] if kind_of_set != "test" or draw.random() < 0.5 else TEST_COMP[style]
    leads = LEAD if kind_of_set != "test" or draw.random() < 0.5 else TEST_LEAD
    bass = Track(0, draw.choice(BASS), cents, draw.randint(85, 120))
    comp = Track(1, draw.choice(comps), cents, draw.randint(75, 110))
    pad = Track(2, draw.choice(PAD), cents, draw.randint(50, 85))
    lead = Track(3, draw.choice(leads), cents, draw.randint(65, 105))
    drums = Track(9, None, 0, draw.randint(70, 120))
    has_pad, has_lead = draw.random() < (0.35 if style != "ballad" else 0.6), draw.random() < 0.7
    has_bass = draw.random() < 0.95
    low = draw.choice([48, 52, 55, 60])
    figure = draw.randrange(4)
    scale = (0, 2, 3, 5, 7, 8, 10) if minor else (0, 2, 4, 5, 7, 9, 11)
    human = lambda at: at + draw.gauss(0, loose)
    swung = lambda x: int(x) + (swing if x % 1 == 0.5 else x % 1)
    pushes = draw.choice([0.0, 0.0, 0.0, 0.2])
    breath = draw.choice([0.0, 0.0, 0.004, 0.008])
    tempi = [tempo]
    for _ in range(math.ceil(lead_in / metre) + len(bars) + 1):
        tempi.append(min(tempo * 1.04, max(tempo * 0.96, tempi[-1] * (1 + draw.gauss(0, breath)))))
    spans = []
    for index, bar in enumerate(bars):
        start = lead_in + index * metre
        last = index == len(bars) - 1 and len(bars) % 2 == 1
        cuts = [0, metre] if len(bar) == 1 else [0, 2, metre]
        for (root, kind), a, b in zip(bar, cuts, cuts[1:]):
            root = (root + tonic) % 12
            spans.append([start + a, start + b, f"{NAMES[root]}:{kind}"])
            tones = voicing(root, kind, low)
            deep = 28 + (root - 28) % 12
            if has_pad:
                for t in voicing(root, kind, 55):
                    pad.note(human(start + a), b - a - 0.05, t, 60 + draw.gauss(0, 6))
            if last:
                for t in tones:
                    comp.note(start, metre, t, 80)
                bass.note(start, metre, deep, 90)
                continue
            push = 0.5 if a == 0 and index > 0 and draw.random() < pushes else 0.0
            # Bass.
            if has_bass:
                fifth = deep + (7 if 7 in TONES[kind] else 6)
                fifth = fifth - 12 if fifth > 43 else fifth
                if style == "rock" and figure < 3:
                    steps = [(swung(x / 2), deep, 0.45) for x in range(2 * a, 2 * b)] if figure else [(x, deep, 0.9) for x in range(a, b)]
                elif style == "shuffle":
                    walk = [0, 0, TONES[kind][1], TONES[kind][1], 7, 7, 9, 9] if figure % 2 else [0, 0, 7, 7, 9, 9, 7, 7]
                    steps = [(swung(x / 2), deep + (walk[x % 8] if figure else [0, TONES[kind][1], 7, 9][x // 2 % 4]), 0.4) for x in range(2 * a, 2 * b, 1 if figure else 2)]
                elif style in ("country", "rock"):
                    steps = [(x, deep if (x - a) % 4 == 0 else fifth, 1.5) for x in range(a, b, 2)]
                    if figure == 3 and draw.random() < 0.3:
                        steps.append((b - 1, deep + draw.choice([2, 4, -1, 5]), 0.9))
                elif style == "waltz":
                    steps = [(a, deep if index % 2 == 0 or figure == 0 or len(bar) > 1 else fifth, b - a - 0.3 if b - a < 3 else 1.2)]
                else:
                    steps = [(a, deep, b - a - 0.1)] if figure < 2 or b - a < 3 else [(a, deep, 1.4), (a + 2, deep, 0.9), (a + 3, fifth, 0.9)]
                for x, pitch, long in steps:
                    bass.note(human(start + x - (push if x == a else 0)), long, pitch, 92 + (8 if x == 0 else 0) + draw.gauss(0, 6))
            # Comping.
            if style == "ballad" and figure % 2 == 0:
                eighths = [0, 1, 2, 3, 2, 1, 2, 1] if figure else [0, 2, 1, 2, 0, 2, 1, 2]
                for x in range(2 * a, 2 * b):
                    order = tones + [tones[0] + 12]
                    comp.note(human(start + swung(x / 2)), 1.2, order[eighths[x % 8] % len(order)], 70 + draw.gauss(0, 7))
                    if x % 4 == 0:
                        comp.note(human(start + x / 2), 1.8, tones[-1], 62)
            else:
                if style == "waltz":
                    hits = [x for x in range(a, b) if x > 0 or figure == 1]
                    hits = [(x, 0.8) for x in hits] or [(a, 0.8)]
                elif style == "country":
                    hits = [(x + 0.5 * (figure == 2), 0.4) for x in range(a, b) if x % 2 == 1] + ([(x, 0.4) for x in range(a, b)] if figure == 1 else [(a, 0.4)] if len(bar) > 1 else [])
                    if figure == 3:
                        hits = [(swung(x / 2), 0.45) for x in range(2 * a, 2 * b)]
                elif style == "shuffle":
                    hits = [[(x, 0.4) for x in range(a, b) if x % 2], [(swung(x / 2), 0.3) for x in range(2 * a, 2 * b)], [(a, b - a - 0.1)], [(swung(x + 0.5), 0.3) for x in range(a, b)]][figure]
                    hits = hits or [(a, 0.4)]
                elif style == "rock":
                    hits = [[(a, b - a - 0.1)], [(swung(x / 2), 0.4) for x in range(2 * a, 2 * b)], [(a, 0.9), (swung(a + 1.5), 1.2)], [(x, 0.8) for x in range(a, b)]][figure]
                else:
                    hits = [(a, b - a - 0.1)] if figure == 1 else [(x, 0.9) for x in range(a, b)]
                for x, long in hits:
                    roll = draw.choice([0.0, 0.0, 0.012])
                    for i, t in enumerate(tones):
                        comp.note(human(start + x - (push if x == a else 0)) + i * roll, long, t, 76 + draw.gauss(0, 7))
            # Melody: tones of the chord on beats, steps of the scale between.
            if has_lead and draw.random() < 0.8:
                x = float(a)
                while x < b:
                    long = draw.choice([0.5, 1.0, 1.0, 1.5, 2.0])
                    if draw.random() < 0.75:
                        klass = (root + draw.choice(TONES[kind])) % 12 if x == int(x) and draw.random() < 0.75 else (tonic + draw.choice(scale)) % 12
                        lead.note(human(start + swung(x)), min(long, b - x), 67 + (klass - 67) % 12, 80 + draw.gauss(0, 9))
                    x += long
        # Drums.
        if has_drums and not last:
            kit = lambda x, note, v: drums.note(human(start + x), 0.1, note, v + draw.gauss(0, 5))
            if style == "waltz":
                kit(0, 36, 95)
                for x in (1, 2):
                    kit(x, 42 if figure % 2 else 37, 65)
                if figure == 3:
                    for x in range(6):
                        kit(swung(x / 2), 51, 50)
            elif style == "country" and figure % 2:
                for x in range(8):
                    kit(swung(x / 2), 38, 85 if x % 4 == 2 else 38)
                for x in (0, 2):
                    kit(x, 36, 90)
            else:
                for x in range(8 if style != "country" else 4):
                    at = swung(x / 2) if style != "country" else x
                    kit(at, 42 if style != "ballad" or figure < 2 else 51, 60 + 12 * (x % 2 == 0))
                for x in draw.choice([[0, 2], [0, 2, 2.5], [0, 1.5, 2]]) if style == "rock" else [0, 2]:
                    kit(x, 36, 100)
                for x in (1, 3):
                    kit(x, 37 if style == "ballad" else 38, 95)
            if index % 8 == 7:
                for x in range(4):
                    kit(metre - 1 + x / 4, 38 if x < 2 else 45, 80)
            if index % 8 == 0:
                kit(0, 49, 85)
    song = mido.MidiFile(ticks_per_beat=TICKS)
    conductor = mido.MidiTrack()
    for n, now in enumerate(tempi):
        conductor.append(mido.MetaMessage("set_tempo", tempo=round(60e6 / now), time=metre * TICKS if n else 0))
    song.tracks.append(conductor)
    for track, wanted in ((bass, True), (comp, True), (pad, has_pad), (lead, has_lead), (drums, has_drums)):
        if wanted:
            song.tracks.append(track.midi())

    def second(beat):
        """When a beat is: the tempo changes every `metre` beats from the start of the file."""
        whole = min(int(beat // metre), len(tempi) - 1)
        return sum(metre * 60 / t for t in tempi[:whole]) + (beat - whole * metre) * 60 / tempi[whole]

    beats = [lead_in + x for x in range(len(bars) * metre)]
    truth = {
        "style": style, "metre": metre, "tempo": tempo, "cents": cents, "key": f"{NAMES[tonic]} {'minor' if minor else 'major'}",
        "beats": [round(second(b), 4) for b in beats], "downbeats": [round(second(b), 4) for b in beats[::metre]],
        "chords": [[round(second(a), 4), round(second(b), 4), label] for a, b, label in spans],
        "form": [form, length],
    }
    return song, truth, draw.choice(FONTS[kind_of_set])


def main():
    folder, kind, count = Path(sys.argv[1]), sys.argv[2], int(sys.argv[3])
    folder.mkdir(parents=True, exist_ok=True)
    import numpy, soundfile
    for seed in (n for n in range(count) if sys.argv[4:] in ([], [STYLES[n % len(STYLES)]])):
        base = folder / f"{kind}-{seed:03}"
        if base.with_suffix(".s16").exists():
            continue
        song, truth, font = compose(base.name, kind, seed)
        truth["font"] = Path(font).stem
        song.save(base.with_suffix(".mid"))
        wave = base.with_suffix(".wav")
        subprocess.run(["fluidsynth", "-ni", "-q", "-g", "0.6", "-r", str(RATE), "-F", wave, font, base.with_suffix(".mid")], check=True,
                       stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        sound, _ = soundfile.read(wave)
        mono = sound.mean(axis=1)
        mono = mono / max(1e-9, abs(mono).max()) * 0.9
        (numpy.round(mono * 32767).astype("<i2")).tofile(base.with_suffix(".s16"))
        wave.unlink()
        base.with_suffix(".json").write_text(json.dumps(truth))


main()
