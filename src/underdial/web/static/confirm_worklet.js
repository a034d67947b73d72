// Hands on the microphone in lumps of 2048 samples of one channel.
class Taker extends AudioWorkletProcessor {
  constructor() { super(); this.lump = new Float32Array(2048); this.filled = 0; }

  process(inputs) {
    const plane = inputs[0][0];
    for (let k = 0; plane && k < plane.length; k += 1) {
      this.lump[this.filled] = plane[k];
      this.filled += 1;
      if (this.filled === this.lump.length) { this.port.postMessage(this.lump.slice()); this.filled = 0; }
    }
    return true;
  }
}

registerProcessor("taker", Taker);
