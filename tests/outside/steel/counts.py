"""Counts every way an E9 ten-string sounds the major and minor triads, by plain sets and products.

An implementation of its own: it shares no code, table or method with the crate. Standard library only.
Prints one line a figure: name, hits, hits in which every engaged change moves a string of the set, and how many
(fret, strings, pitches) those are; then a digest (64-bit FNV-1a) of all hits, written one a line and sorted.
"""

from itertools import chain, combinations, product

# MIDI note numbers of strings 1 to 10: F#4 D#4 G#4 E4 B3 G#3 F#3 E3 D3 B2.
OPEN = [66, 63, 68, 64, 59, 56, 54, 52, 50, 47]

CHANGES = {
    "A": {5: 2, 10: 2},
    "B": {3: 1, 6: 1},
    "C": {4: 2, 5: 2},
    "F": {4: 1, 8: 1},
    "E": {4: -1, 8: -1},
    "V": {5: -1, 10: -1},
    "G": {1: 1},
    "D": {2: -1, 9: -1},
}
STANCES = ["".join(s) for s in product(["", "A", "B", "C", "AB", "BC"], ["", "F", "E"], ["", "V"], ["", "G", "D"])]
SETS = [s for s in combinations(range(1, 11), 3) if s[2] - s[0] < 6]
FRETS = range(25)


def note(string, stance, fret):
    moves = [CHANGES[change].get(string, 0) for change in stance]
    return OPEN[string - 1] + fret + max([0, *moves]) + min([0, *moves])


def hits(classes):
    for fret, stance, strings in product(FRETS, STANCES, SETS):
        notes = tuple(note(s, stance, fret) for s in strings)
        if {n % 12 for n in notes} == classes:
            yield fret, stance, strings, notes


def needed(hit):
    _, stance, strings, _ = hit
    return all(set(CHANGES[change]) & set(strings) for change in stance)


def figures(name, found):
    used = [hit for hit in found if needed(hit[1])]
    distinct = {(chord, fret, strings, notes) for chord, (fret, _, strings, notes) in used}
    return f"{name} {len(found)} {len(used)} {len(distinct)}"


def digest(found):
    lines = (
        f"{chord} {fret} {stance or '-'} {'-'.join(map(str, strings))} {','.join(map(str, notes))}\n"
        for chord, (fret, stance, strings, notes) in found
    )
    value = 0xCBF29CE484222325
    for byte in chain.from_iterable(line.encode() for line in sorted(lines)):
        value = (value ^ byte) * 0x100000001B3 & 0xFFFFFFFFFFFFFFFF
    return f"digest {value:016x}"


def main():
    assert len(STANCES) == 108 and len(SETS) == 60
    triads = {
        f"{root}{kind}": {root, (root + third) % 12, (root + 7) % 12}
        for root in range(12)
        for kind, third in (("maj", 4), ("min", 3))
    }
    found = [(chord, hit) for chord, classes in triads.items() for hit in hits(classes)]
    print(figures("G", [(chord, hit) for chord, hit in found if chord == "7maj"]))
    print(figures("all", found))
    print(digest(found))


main()
