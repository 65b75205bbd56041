// The page's own sound led back to its microphone.

// Seconds.
export const DELAY = 0.083;

// The microphone hears what the page plays, DELAY later. `globalThis.plays` says which parts reach it; `band` stands for
// those that are not named.
export const loop = `
  globalThis.plays = { solo: true, band: false };
  const connect = AudioNode.prototype.connect;
  AudioNode.prototype.connect = function (to, ...more) {
    if (to === this.context.destination && !(this.context instanceof OfflineAudioContext)) {
      this.context.led ??= this.context.createMediaStreamDestination();
      const late = this.context.createDelay(1);
      late.delayTime.value = ${DELAY};
      connect.call(this, late);
      connect.call(late, this.context.led);
      if (this.numberOfInputs === 0) globalThis.led = this.context.led;
    }
    return connect.call(this, to, ...more);
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
