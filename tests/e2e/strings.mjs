// Strings as a microphone hears them: files for Chromium's fake audio device, made without the page's own sound.
import { writeFileSync } from "node:fs";

const RATE = 48_000;

// A plucked string: ten partials of a stiff string, the upper ones fainter and gone sooner, struck anew every
// `again` seconds; `pitch` is that of its first partial, in hertz.
export function string(pitch, seconds, { again = 2.5, stiffness = 4e-5, level = 0.25 } = {}) {
  const samples = new Float32Array(Math.round(seconds * RATE));
  for (let k = 1; k <= 10 && k * pitch < 12_000; k++) {
    const frequency = k * pitch * Math.sqrt((1 + stiffness * k * k) / (1 + stiffness));
    for (let n = 0; n < samples.length; n++) {
      const t = (n / RATE) % again;
      const fade = Math.min(1, t / 0.003) * Math.exp(-(0.6 + 0.5 * k) * t);
      samples[n] += ((level * fade) / k) * Math.sin(2 * Math.PI * frequency * t + k);
    }
  }
  return samples;
}

export const mix = (...voices) => voices[0].map((_, n) => voices.reduce((sum, voice) => sum + voice[n], 0));

// MIDI note number, with parts of it, to hertz: ISO 16, A4 = 440 Hz.
export const hertz = (note) => 440 * 2 ** ((note - 69) / 12);

// Writes a mono WAV file of 16 bits and answers with the flags that have Chromium hear it.
export function heardFrom(path, samples) {
  const data = Buffer.alloc(44 + 2 * samples.length);
  data.write("RIFF", 0);
  data.writeUInt32LE(36 + 2 * samples.length, 4);
  data.write("WAVEfmt ", 8);
  data.writeUInt32LE(16, 16);
  data.writeUInt16LE(1, 20);
  data.writeUInt16LE(1, 22);
  data.writeUInt32LE(RATE, 24);
  data.writeUInt32LE(2 * RATE, 28);
  data.writeUInt16LE(2, 32);
  data.writeUInt16LE(16, 34);
  data.write("data", 36);
  data.writeUInt32LE(2 * samples.length, 40);
  samples.forEach((x, n) => data.writeInt16LE(Math.round(Math.max(-1, Math.min(1, x)) * 32_767), 44 + 2 * n));
  writeFileSync(path, data);
  return ["--use-fake-device-for-media-stream", `--use-file-for-fake-audio-capture=${path}`];
}
