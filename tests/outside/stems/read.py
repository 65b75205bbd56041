"""Reads delivered parcels with readers that know nothing of the crate: zipfile, libsndfile, scipy, wavinfo and
pyloudnorm, and sox where it is. Usage: read.py FOLDER"""

import io
import re
import shutil
import subprocess
import sys
import warnings
import zipfile
from pathlib import Path

import numpy as np
import pyloudnorm
import soundfile
from scipy.io import wavfile
from scipy.signal import resample_poly
from wavinfo import WavInfoReader

PARTS = ["steel-direct-clean", "steel-amp-clean", "steel-direct-driven", "steel-amp-driven", "backing", "mix"]
SUBTYPES = {16: "PCM_16", 24: "PCM_24", 32: "FLOAT"}
TAIL = 4.0

# scipy says of the broadcast extension that it skips it.
warnings.filterwarnings("ignore", category=wavfile.WavFileWarning)


def decibels(x):
    return 20 * np.log10(max(x, 1e-12))


def true_peak(samples):
    """The highest point between samples too, by eight times the rate."""
    return decibels(np.abs(resample_poly(samples, 8, 1, axis=0)).max())


def check(parcel, folder):
    _, rate, bits, counted, loudness, _ = parcel.name.rsplit(".", 5)
    rate, bits, loudness = int(rate), int(bits), -float(loudness)
    archive = zipfile.ZipFile(parcel)
    assert archive.testzip() is None
    assert archive.infolist()[0].date_time == (2026, 3, 9, 21, 30, 0)
    names = archive.namelist()
    pattern = re.compile(r"[a-z0-9-]+_([a-z-]+)_take1_[A-G](?:flat|sharp)?m?_(\d+)bpm\.(wav|txt)")
    matches = [pattern.fullmatch(name) for name in names]
    assert [m[1] for m in matches] == [*PARTS, "notes"], names
    tempo = int(matches[0][2])
    sheet = archive.read(names[-1]).decode("utf-8")
    assert all(name in sheet for name in names[:-1]) and "Chart" in sheet and "Tuning" in sheet

    lengths, starts = set(), set()
    for name, part in zip(names, PARTS):
        data = archive.read(name)
        sound, found = soundfile.read(io.BytesIO(data), always_2d=True)
        info = soundfile.info(io.BytesIO(data))
        assert (found, info.subtype, info.channels) == (rate, SUBTYPES[bits], 2 if part in ("backing", "mix") else 1)
        # scipy has its own reader; a 24-bit sample comes in the upper bytes of 32.
        found, plain = wavfile.read(io.BytesIO(data))
        assert found == rate and len(plain) == len(sound)
        scale = {16: 2.0**15, 24: 2.0**31, 32: 1.0}[bits]
        assert np.abs(plain.reshape(sound.shape) / scale - sound).max() < 1e-9
        path = folder / name
        path.write_bytes(data)
        bext = WavInfoReader(str(path)).bext
        assert bext.originator == "Leadbar" and bext.version == 2
        assert (bext.originator_date, bext.originator_time) == ("2026-03-09", "21:30:00")
        lengths.add(len(sound))
        starts.add(bext.time_reference)
        peak = decibels(np.abs(sound).max())
        line = f"{part:20} peak {peak:6.2f} dBFS"
        if part == "mix":
            integrated = pyloudnorm.Meter(rate).integrated_loudness(sound)
            highest = true_peak(sound)
            line += f", {integrated:.2f} LUFS, {highest:.2f} dBTP; by its own word {bext.loudness_value:.2f}, {bext.max_true_peak:.2f}"
            assert abs(integrated - loudness) < 0.2, integrated
            assert highest <= -1.0, highest
            assert abs(bext.loudness_value - integrated) < 0.2 and abs(bext.max_true_peak - highest) < 0.5
        else:
            assert -7.0 < peak <= -6.0, peak
        if shutil.which("soxi"):
            asked = lambda flag: subprocess.run(["soxi", flag, path], capture_output=True, text=True, check=True).stdout.strip()
            assert (int(asked("-r")), int(asked("-s")), int(asked("-b"))) == (rate, len(sound), bits)
            line += ", and sox agrees"
        print(f"  {line}")

    # The demo song is in three; bar 1 lies at one hour, and a count-in before it.
    bar = 3 * 60 / tempo * rate if counted == "counted" else 0
    assert len(lengths) == len(starts) == 1, (lengths, starts)
    assert abs(starts.pop() - (3600 * rate - bar)) <= 1
    seconds = (lengths.pop() - bar) / rate - TAIL
    bars = seconds * tempo / 60 / 3
    assert abs(bars - round(bars)) < 1e-4, bars
    print(f"  {round(bars)} bars in three at {tempo}")


folder = Path(sys.argv[1])
parcels = sorted(folder.glob("*.zip"))
assert len(parcels) == 3
for parcel in parcels:
    print(parcel.name)
    check(parcel, folder)
