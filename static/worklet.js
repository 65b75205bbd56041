// The audio thread: runs the engine and asks it for samples.
import { initSync, SoundEngine } from "./engine.js";

class LeadbarVoice extends AudioWorkletProcessor {
  constructor({ processorOptions: { module, commands } }) {
    super();
    this.memory = initSync({ module }).memory;
    this.engine = new SoundEngine(sampleRate);
    this.block = this.engine.block();
    this.look();
    for (const command of commands ?? []) this.obey(command);
    this.port.onmessage = ({ data }) => this.obey(data);
  }

  // The module's memory moves when it grows; a view of the old one is then empty.
  look() {
    this.left = new Float32Array(this.memory.buffer, this.engine.left(), this.block);
    this.right = new Float32Array(this.memory.buffer, this.engine.right(), this.block);
  }

  // Bytes are a command, whole numbers a block of a recording; wrapped, a block of what stands in for the steel.
  obey(given) {
    this.guard(() => {
      if (given instanceof Int16Array) this.engine.feed(given);
      else if (given.standIn) this.engine.feed_stand_in(given.standIn);
      else this.engine.command(given);
    });
  }

  // A trap leaves the module in an unknown state: say so and be silent; the page builds a new one.
  guard(work) {
    if (this.broken) return;
    try {
      work();
    } catch (error) {
      this.broken = true;
      this.port.postMessage({ fault: String(error) });
    }
  }

  process(_inputs, [channels]) {
    // Where the sound's own clock begins: the microphone's half, if it runs here too, goes by it.
    globalThis.leadbarVoiceBegan ??= currentFrame;
    this.guard(() => {
      const length = channels[0].length;
      for (let at = 0; at < length; at += this.block) {
        const count = Math.min(this.block, length - at);
        this.engine.process(count);
        if (this.left.length === 0) this.look();
        channels[0].set(count === this.block ? this.left : this.left.subarray(0, count), at);
        channels[1]?.set(count === this.block ? this.right : this.right.subarray(0, count), at);
      }
      for (let report; (report = this.engine.report()) !== undefined; ) this.port.postMessage(report);
    });
    return !this.broken;
  }
}

registerProcessor("leadbar-voice", LeadbarVoice);
