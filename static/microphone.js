// Hands what the microphone hears to the page, a block at a time, each with the sample it begins at: on the
// sound's own clock where the sound runs in the same context.
const BLOCK = 1024;

class LeadbarEar extends AudioWorkletProcessor {
  constructor() {
    super();
    this.block = new Float32Array(BLOCK);
    this.filled = 0;
  }

  process([channels]) {
    const heard = channels[0];
    // Nothing is connected, or no longer.
    if (!heard) return true;
    for (let from = 0; from < heard.length; ) {
      const count = Math.min(BLOCK - this.filled, heard.length - from);
      this.block.set(heard.subarray(from, from + count), this.filled);
      this.filled += count;
      from += count;
      if (this.filled === BLOCK) this.hand(currentFrame + from - BLOCK);
    }
    return true;
  }

  hand(at) {
    const { buffer } = this.block;
    at -= globalThis.leadbarVoiceBegan ?? 0;
    this.port.postMessage({ at, heard: this.block }, [buffer]);
    this.block = new Float32Array(BLOCK);
    this.filled = 0;
  }
}

registerProcessor("leadbar-ear", LeadbarEar);
