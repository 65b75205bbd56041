// Sound files made in the tests.

// A WAV file of 16-bit samples; `wave` gives the sample at a time in seconds, -1..1, the same for all channels.
export function wav(rate, seconds, wave = () => 0, channels = 1) {
  const frames = Math.round(rate * seconds);
  const width = 2 * channels;
  const file = Buffer.alloc(44 + width * frames);
  file.write("RIFF", 0);
  file.writeUInt32LE(36 + width * frames, 4);
  file.write("WAVEfmt ", 8);
  file.writeUInt32LE(16, 16);
  file.writeUInt16LE(1, 20);
  file.writeUInt16LE(channels, 22);
  file.writeUInt32LE(rate, 24);
  file.writeUInt32LE(width * rate, 28);
  file.writeUInt16LE(width, 32);
  file.writeUInt16LE(16, 34);
  file.write("data", 36);
  file.writeUInt32LE(width * frames, 40);
  for (let n = 0; n < frames; n++) {
    const sample = Math.round(32_000 * Math.max(-1, Math.min(1, wave(n / rate))));
    for (let channel = 0; channel < channels; channel++) file.writeInt16LE(sample, 44 + width * n + 2 * channel);
  }
  return file;
}

const hertz = (note) => 440 * 2 ** ((note - 69) / 12);

// A small band: bass on one and three, a struck chord on every beat, a tick on two and four. `chords` are the roots of
// its bars in MIDI note numbers (a whole number is major, one with a half is minor); it begins after half a second.
export function band(chords, { rate = 8000, tempo = 120, from = 0.5, channels = 1 } = {}) {
  const beat = 60 / tempo;
  const struck = (note, since, dies) =>
    [1, 2, 3].reduce((sum, n) => sum + Math.sin(2 * Math.PI * n * hertz(note) * since) / n ** 1.5, 0) * Math.exp(-since / dies);
  let noise = 1;
  const hiss = () => ((noise = (noise * 16_807) % 2_147_483_647) / 2_147_483_647) * 2 - 1;
  return wav(rate, from + 4 * beat * chords.length + 1.5, (time) => {
    const at = Math.floor((time - from) / beat);
    if (time < from || at >= 4 * chords.length) return 0;
    const chord = chords[Math.floor(at / 4)];
    const [root, third] = [Math.floor(chord), chord % 1 ? 3 : 4];
    const place = at % 4;
    const since = time - from - at * beat;
    const low = time - from - (at - (place % 2)) * beat;
    const tones = [root, root + third, root + 7].reduce((sum, note) => sum + struck(note, since, 0.25), 0);
    const tick = place % 2 ? hiss() * Math.exp(-since / 0.03) : 0;
    return 0.22 * struck(root - 24, low, 0.6) * (place < 2 ? 1.2 : 0.9) + 0.09 * tones + 0.25 * tick;
  }, channels);
}
