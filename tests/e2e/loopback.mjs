// The page's own sound led back to its microphone.

// Seconds.
export const DELAY = 0.083;

// The microphone hears what the page plays, DELAY later. `globalThis.plays` says which parts reach it; `band` stands for
// those that are not named.
//
// It hears it in the context that plays, past the queue that a browser has for a stream: that one may be a block of 128
// samples (2.7 ms at 48 kHz) longer than when the delay was measured, on a busy machine, which no page can see. What is
// tested is where the page lays what it is given.
export const loop = `
  globalThis.plays = { solo: true, band: false };
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (to, ...more) {
    // The page's own ear gives silence, and would hear itself.
    const ear = this instanceof AudioWorkletNode && this.numberOfInputs > 0;
    if (to === this.context.destination && !ear && !(this.context instanceof OfflineAudioContext)) {
      if (!this.context.led) {
        this.context.led = this.context.createMediaStreamDestination();
        this.context.late = this.context.createDelay(1);
        this.context.late.delayTime.value = ${DELAY};
        connect.call(this.context.late, this.context.led);
      }
      connect.call(this, this.context.late);
      if (this.numberOfInputs === 0) globalThis.led = this.context.led;
    }
    return connect.call(this, to, ...more);
  };
  const source = AudioContext.prototype.createMediaStreamSource;
  AudioContext.prototype.createMediaStreamSource = function (stream) {
    if (!this.late) return source.call(this, stream);
    const heard = this.createGain();
    connect.call(this.late, heard);
    return heard;
  };
  navigator.mediaDevices.getUserMedia = async () => globalThis.led.stream.clone();
  const post = MessagePort.prototype.postMessage;
  MessagePort.prototype.postMessage = function (message, ...more) {
    if (message instanceof Uint8Array) {
      const command = JSON.parse(new TextDecoder().decode(message));
      if (command.mix) {
        for (const part of Object.keys(command.mix)) {
          if (command.mix[part]?.muted !== undefined) command.mix[part].muted = !(globalThis.plays[part] ?? globalThis.plays.band);
        }
        message = new TextEncoder().encode(JSON.stringify(command));
        more = [];
      }
    }
    return post.call(this, message, ...more);
  };`;
