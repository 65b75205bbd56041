"""Reads our MIDI files with mido and pretty_midi and compares them with the notes they were made from."""
import csv
import pathlib
import sys

import mido
import pretty_midi

TICKS = 960
REACH = 48


def rows(path):
    with open(path, newline="") as file:
        return list(csv.DictReader(file, delimiter="\t"))


def sounded(path):
    """(string, start, end, height at the start) of each note, strings named by their tracks."""
    found = []
    for track in mido.MidiFile(path).tracks:
        now, bend, on = 0, 0, None
        for message in track:
            now += message.time
            if message.type == "pitchwheel":
                bend = message.pitch
            elif message.type == "note_on" and message.velocity:
                assert on is None, "a string sounds one note at a time"
                on = (now, message.note + bend * REACH / 8192)
            elif message.type == "note_off":
                found.append((int(track.name.split()[1]), on[0] / TICKS, now / TICKS, on[1]))
                on = None
        assert on is None, "a note is never ended"
    return sorted(found)


def check(folder, name, layout):
    path = folder / f"{name}-{layout}.mid"
    expected = sorted((int(r["string"]), *(float(r[k]) for k in ("start", "end", "height"))) for r in rows(folder / f"{name}.notes.tsv"))
    found = sounded(path)
    assert len(found) == len(expected), (name, layout, len(found), len(expected))
    worst = 0
    for got, want in zip(found, expected):
        assert got[0] == want[0] and abs(got[1] - want[1]) <= 1 / TICKS and abs(got[2] - want[2]) <= 1 / TICKS, (got, want)
        worst = max(worst, abs(got[3] - want[3]) * 100)
    assert worst <= 1, worst
    read = pretty_midi.PrettyMIDI(str(path))
    drums = [i for i in read.instruments if i.is_drum and i.notes]
    if layout == "strings":
        assert not drums, "a string would sound as drums"
    assert sum(len(i.notes) for i in read.instruments) == len(found)
    assert read.lyrics and read.time_signature_changes and read.key_signature_changes
    first = mido.MidiFile(path).tracks[0]
    assert any(m.type == "marker" for m in first) and any(m.type == "set_tempo" for m in first)
    print(f"{path.name}: {len(found)} notes, pitches at the pluck within {worst:.2f} cents")


folder = pathlib.Path(sys.argv[1])
for notes in sorted(folder.glob("*.notes.tsv")):
    name = notes.name.split(".")[0]
    for layout in ("strings", "mpe"):
        check(folder, name, layout)
    plain = pretty_midi.PrettyMIDI(str(folder / f"{name}-plain.mid"))
    assert not any(i.pitch_bends for i in plain.instruments)
    assert sum(len(i.notes) for i in plain.instruments) > 0
