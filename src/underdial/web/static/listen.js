// The microphone of the browser: every frame is counted and sent on as it came; all reckoning is done by the shop.
const $ = (id) => document.getElementById(id);
const MOST_HZ = 48000;
const SENT_EVERY_S = 1;
const MOST_SENT_S = 20;
const UNTOUCHED = { echoCancellation: false, noiseSuppression: false, autoGainControl: false, channelCount: { ideal: 1 } };

let sampleHz = 0;
let waiting = [];
let waitingCount = 0;
let sentCount = 0;
let word = null;
let sending = null;
let ended = false;
let close = async () => {};
let track = null;

function whyNot() {
  if (!window.isSecureContext) return "This browser gives no microphone to a page that is neither on this device nor over https. Record with any recorder, and give the file.";
  if (!navigator.mediaDevices || !navigator.mediaDevices.getUserMedia) return "This browser has no microphone to give. Record with any recorder, and give the file.";
  return "";
}

function wrong(words) {
  for (const one of [$("wrong"), $("no-microphone")]) { one.textContent = words; one.hidden = !words; }
}

// Sound comes in here, in whatever lumps the browser has; one frame is one sample of one channel, -1 to 1.
function took(samples) {
  if (ended) return;
  const whole = new Int16Array(samples.length);
  for (let k = 0; k < samples.length; k += 1) whole[k] = Math.max(-32768, Math.min(32767, Math.round(samples[k] * 32768)));
  waiting.push(whole);
  waitingCount += whole.length;
  if (waitingCount >= SENT_EVERY_S * sampleHz && !sending) sending = send().finally(() => { sending = null; });
}

function nextBlock() {
  const parts = [];
  let count = 0;
  while (waiting.length && count < MOST_SENT_S * sampleHz) { const one = waiting.shift(); parts.push(one); count += one.length; }
  const block = new Int16Array(count);
  let at = 0;
  for (const one of parts) { block.set(one, at); at += one.length; }
  waitingCount -= count;
  return block;
}

async function asked(address, options) {
  const answer = await fetch(address, { method: "POST", ...options });
  if (answer.ok) return answer.json();
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const said = page.querySelector("main .wrong") || page.querySelector("main h1");
  throw Object.assign(new Error(said ? said.textContent.trim() : "The shop does not answer."), { refused: true });
}

async function send() {
  try {
    if (!word) word = (await asked($("live").dataset.at, { body: told() })).live;
    const block = nextBlock();
    if (!block.length) return;
    const address = `${$("live").dataset.at}/${word}?first=${sentCount}`;
    const options = { body: block.buffer, headers: { "Content-Type": "application/octet-stream" } };
    let answer;
    // A block that was lost on the way is sent once more: the shop counts frames, so nothing is heard twice.
    try { answer = await asked(address, options); } catch (first) { if (first.refused) throw first; answer = await asked(address, options); }
    sentCount += block.length;
    show(answer);
  } catch (failed) {
    wrong(failed.refused ? failed.message : "The shop does not answer any more. Start it again, and listen again.");
    ended = true;
    await close();
  }
}

function told() {
  const form = new FormData($("told"));
  form.delete("file");
  form.set("device", track.label || "microphone of this browser");
  form.set("sample_hz", String(sampleHz));
  return form;
}

// Some browsers count the frames that they themselves let fall; the shop sees larger losses by its own clock.
function dropped() {
  const counts = track && track.stats;
  if (!counts || !(counts.totalFrames > 0)) return "";
  const lost = (counts.totalFrames - counts.deliveredFrames) / sampleHz;
  return lost > 0.005 ? `The browser lost ${lost.toFixed(2)} s of sound: this machine is too busy. Close other programs, or record with any recorder and give the file.` : "";
}

function show(answer) {
  $("heard").textContent = `${Math.round(answer.heard_s)} seconds heard.`;
  const lost = answer.lost || dropped();
  $("lost").textContent = lost;
  $("lost").hidden = !lost;
  if (answer.loud && $("live").dataset.accepted !== "true") $("loud").innerHTML = answer.loud;
  if (!answer.shown) return;
  $("loud").hidden = answer.shown.accepted;
  $("sentence").textContent = answer.shown.sentence;
  $("lines").replaceChildren(...answer.shown.lines.map((line) => Object.assign(document.createElement("li"), { textContent: line })));
  $("live").dataset.accepted = String(answer.shown.accepted);
  if (answer.shown.picture) $("picture").innerHTML = answer.shown.picture;
}

// Where the browser hands over the very frames of the device, they are taken; no clock of the browser comes near them.
async function byFrames(track) {
  const reader = new MediaStreamTrackProcessor({ track, maxBufferSize: 3000 }).readable.getReader();
  let first = await reader.read();
  if (first.done) return null;
  if (first.value.sampleRate > MOST_HZ) { first.value.close(); await reader.cancel(); return null; }
  sampleHz = first.value.sampleRate;
  const loop = (async () => {
    for (let one = first; !one.done; one = await reader.read()) {
      const { numberOfFrames: frames, numberOfChannels: channels } = one.value;
      const sum = new Float32Array(frames);
      const plane = new Float32Array(frames);
      for (let c = 0; c < channels; c += 1) {
        one.value.copyTo(plane, { planeIndex: c, format: "f32-planar" });
        for (let k = 0; k < frames; k += 1) sum[k] += plane[k] / channels;
      }
      one.value.close();
      took(sum);
    }
  })();
  return async () => { await reader.cancel().catch(() => {}); await loop.catch(() => {}); };
}

async function byWorklet(stream, address) {
  const device = stream.getAudioTracks()[0].getSettings().sampleRate || MOST_HZ;
  const context = new AudioContext({ sampleRate: Math.min(device, MOST_HZ) });
  sampleHz = context.sampleRate;
  await context.audioWorklet.addModule(address);
  const node = new AudioWorkletNode(context, "hand", { numberOfOutputs: 0 });
  let last = null;
  node.port.onmessage = (message) => { took(message.data); if (last) last(); };
  context.createMediaStreamSource(stream).connect(node);
  await context.resume();
  return async () => {
    await new Promise((done) => { last = done; node.port.postMessage("rest"); setTimeout(done, 500); });
    await context.close();
  };
}

async function start() {
  let stream;
  try {
    stream = await navigator.mediaDevices.getUserMedia({ audio: UNTOUCHED });
  } catch (failed) {
    wrong(failed.name === "NotFoundError" ? "No microphone is plugged in. Plug one in, or give a recording." : "The browser was not allowed to use the microphone. Allow it for this page, or give a recording.");
    return;
  }
  wrong("");
  $("before").hidden = true;
  $("live").hidden = false;
  $("sentence").focus();
  track = stream.getAudioTracks()[0];
  let closed = null;
  if (window.MediaStreamTrackProcessor && !$("live").dataset.worklet) closed = await byFrames(track);
  if (!closed) closed = await byWorklet(stream, new URL("listen_worklet.js", import.meta.url));
  let lamp = null;
  if (navigator.wakeLock) lamp = await navigator.wakeLock.request("screen").catch(() => null);
  close = async () => { await closed(); track.stop(); if (lamp) await lamp.release().catch(() => {}); };
  track.addEventListener("ended", () => wrong("The microphone was taken away. What was heard so far can be kept."));
}

async function stop(wanted) {
  for (const one of [$("stop"), $("drop")]) one.disabled = true;
  await close();
  ended = true;
  if (sending) await sending;
  while (wanted === "keep" && waitingCount && $("wrong").hidden) await send();
  if (!word) { location.reload(); return; }
  try {
    const form = new FormData();
    form.set("wanted", wanted);
    location.assign((await asked(`${$("live").dataset.at}/${word}/stop`, { body: form })).to);
  } catch (failed) {
    wrong(failed.refused ? failed.message : "The shop does not answer any more. Start it again, and listen again.");
  }
}

wrong(whyNot());
if (!whyNot()) {
  $("start").hidden = false;
  $("start").addEventListener("click", start);
  $("stop").addEventListener("click", () => stop("keep"));
  $("drop").addEventListener("click", () => stop("drop"));
}
