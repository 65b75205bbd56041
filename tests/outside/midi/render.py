"""Plays each string of our MIDI files with fluidsynth and estimates the pitch from the sound.

The font's own tuning is measured first on notes without a bend, and taken off. Its drawbar organ (16) is used:
a steady sound, equally far off on every key.
"""
import csv
import pathlib
import subprocess
import sys

import mido
import numpy as np
from scipy.io import wavfile

PROGRAM = 16
LIMIT = 3.0
PAD = 0.08  # seconds left out at both ends of a still stretch


def render(midi, font):
    wav = midi.with_suffix(".wav")
    command = ["fluidsynth", "-ni", "-q", "-R", "0", "-C", "0", "-g", "0.5", "-r", "48000", "-F", wav, font, midi]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    rate, samples = wavfile.read(wav)
    return rate, samples[:, 0].astype(float)


def pitch(samples, rate, near):
    """The strongest partial within a quarter-tone of `near`, by a parabola through the log spectrum."""
    size = 8 * len(samples)
    spectrum = np.abs(np.fft.rfft(samples * np.hanning(len(samples)), size))
    low, high = (int(near * f * size / rate) for f in (2 ** (-1 / 24), 2 ** (1 / 24)))
    peak = low + int(np.argmax(spectrum[low:high]))
    a, b, c = np.log(spectrum[peak - 1 : peak + 2] + 1e-12)
    return (peak + 0.5 * (a - c) / (a - 2 * b + c)) * rate / size


def cents(found, expected):
    return 1200 * np.log2(found / expected)


def font_offset(folder, font):
    offsets = []
    for key in range(47, 90, 6):
        file = mido.MidiFile(ticks_per_beat=960)
        file.tracks.append(mido.MidiTrack([
            mido.Message("program_change", program=PROGRAM),
            mido.Message("note_on", note=key, velocity=90),
            mido.Message("note_off", note=key, time=2880),
        ]))
        path = folder / "control.mid"
        file.save(path)
        rate, samples = render(path, font)
        expected = 440 * 2 ** ((key - 69) / 12)
        offsets.append(cents(pitch(samples[rate // 4 : rate], rate, expected), expected))
    assert np.ptp(offsets) < 0.5, offsets
    return float(np.median(offsets))


def one_string(source, string, path):
    file = mido.MidiFile(ticks_per_beat=source.ticks_per_beat, type=1)
    keep = [source.tracks[0]] + [t for t in source.tracks if t.name.startswith(f"String {string} ") or t.name == "Volume pedal"]
    for track in keep:
        changed = [m.copy(program=PROGRAM) if m.type == "program_change" else m for m in track]
        file.tracks.append(mido.MidiTrack(changed))
    file.save(path)


def main():
    folder, font = pathlib.Path(sys.argv[1]), sys.argv[2]
    offset = font_offset(folder, font)
    for table in sorted(folder.glob("*.pitches.tsv")):
        name = table.name.split(".")[0]
        with open(table, newline="") as file:
            stretches = list(csv.DictReader(file, delimiter="\t"))
        for layout in ("strings", "mpe"):
            source = mido.MidiFile(folder / f"{name}-{layout}.mid")
            worst, count = 0.0, 0
            for string in sorted({r["string"] for r in stretches}, key=int):
                if layout == "mpe" and string == "9":
                    continue  # member channel 10: a plain player has its drums there
                one = folder / f"{name}-{layout}-{string}.mid"
                one_string(source, string, one)
                rate, samples = render(one, font)
                for row in (r for r in stretches if r["string"] == string):
                    start, stop = float(row["from"]) + PAD, float(row["to"]) - PAD
                    part = samples[int(start * rate) : int(min(stop, start + 1.0) * rate)]
                    expected = float(row["hertz"])
                    off = cents(pitch(part, rate, expected), expected) - offset
                    assert np.max(np.abs(part)) > 50, (name, string, start, "silence")
                    assert abs(off) <= LIMIT, (name, layout, string, start, off)
                    worst, count = max(worst, abs(off)), count + 1
            print(f"{name}-{layout}: {count} still stretches rendered, worst {worst:.2f} cents (font itself {offset:+.2f})")
            assert count > 3


main()
