// Writes what tonal says of notes, keys, degrees and chords, as tab-separated rows.
// Usage: node tonal_table.cjs > tonal.tsv
const { Chord, Key, Midi, Note, RomanNumeral } = require("tonal");
const { version } = require("tonal/package.json");

const TONICS = "Cb Gb Db Ab Eb Bb F C G D A E B F# C# G# D# A#".split(" ");
const DEGREES = "I bII II #II bIII III IV #IV bV V #V bVI VI #VI bVII VII".split(" ");
const ROOTS = [..."CDEFGAB"].flatMap((letter) => ["bb", "b", "", "#", "##"].map((sign) => letter + sign));
// The suffix of a chord symbol, and tonal's name where it differs.
const KINDS = { "": "M", m: "m", dim: "dim", "+": "aug", 5: "5", sus2: "sus2", sus4: "sus4", 6: "6", m6: "m6",
  7: "7", maj7: "maj7", m7: "m7", mMaj7: "mM7", dim7: "dim7", m7b5: "m7b5", 9: "9", add9: "Madd9", m9: "m9",
  maj9: "maj9", "7sus4": "7sus4", "7#9": "7#9", "7b9": "7b9", 13: "13" };
const ORDER = ["", "m", "dim", "+", "5", "sus2", "sus4", "6", "m6", "7", "maj7", "m7", "mMaj7", "dim7", "m7b5",
  "9", "add9", "m9", "maj9", "7sus4", "7#9", "7b9", "13"];

const row = (...cells) => console.log(cells.join("\t"));

console.log(`# tonal ${version}: written by tonal_table.cjs`);
for (let number = 0; number < 128; number++) row("note", number, Midi.midiToFreq(number).toFixed(4));
for (const mode of ["major", "minor"]) {
  for (let fifths = -7; fifths <= 7; fifths++) {
    const tonic = Note.transposeFifths(mode === "major" ? "C" : "A", fifths);
    const key = mode === "major" ? Key.majorKey(tonic) : Key.minorKey(tonic);
    const scale = mode === "major" ? key.scale : key.natural.scale;
    row("key", tonic + (mode === "minor" ? "m" : ""), key.alteration, scale.join(" "));
  }
}
for (const tonic of TONICS) {
  for (const degree of DEGREES) row("degree", tonic, degree, Note.transpose(tonic, RomanNumeral.get(degree).interval));
}
for (const root of ROOTS) {
  for (const suffix of ORDER) {
    row("chord", root, suffix, [...new Set(Chord.getChord(KINDS[suffix], root).notes)].sort().join(" "));
  }
}
