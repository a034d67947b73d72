// Hands on each quantum of the microphone, as it came, joined to lumps so that few messages are sent.
class Hand extends AudioWorkletProcessor {
  constructor() {
    super();
    this.lump = new Float32Array(4096);
    this.filled = 0;
    this.port.onmessage = () => { this.port.postMessage(this.lump.slice(0, this.filled)); this.filled = 0; };
  }

  process(inputs) {
    const planes = inputs[0];
    const frames = planes.length ? planes[0].length : 128;
    for (let k = 0; k < frames; k += 1) {
      let sum = 0;
      for (const plane of planes) sum += plane[k];
      this.lump[this.filled] = planes.length ? sum / planes.length : 0;
      this.filled += 1;
      if (this.filled === this.lump.length) {
        this.port.postMessage(this.lump.slice());
        this.filled = 0;
      }
    }
    return true;
  }
}

registerProcessor("hand", Hand);
