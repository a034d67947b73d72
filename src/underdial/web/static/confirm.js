// Reading through: each deed is sent as it is done and kept on the tablet until the shop has it. Without scripts the forms do the same.
const $ = (id) => document.getElementById(id);
const WAITING = "underdial-waiting";
const QUIET = "underdial-quiet";
const HEARD_HZ = 16000;
const MOST_S = 12;
// Lumps of 0.128 s: two loud ones begin a line, seven quiet ones (0.9 s) end it, four before it are kept.
const LOUD_LUMPS = 2;
const HUSH_LUMPS = 7;
const BEFORE_LUMPS = 4;
// After so long it is said that an answer waits; after so long the shop counts as not reached.
const SLOW_MS = 1000;
const LONGEST_MS = 20000;
let sending = false;
const refusedDeeds = new Set();

const waiting = () => JSON.parse(localStorage.getItem(WAITING) || "[]");
const keepWaiting = (all) => localStorage.setItem(WAITING, JSON.stringify(all));
const quiet = () => localStorage.getItem(QUIET) === "yes";

function say(words) {
  // Said anew only when it is new: an ear would hear it again at each try.
  if ($("kept").textContent !== words) $("kept").textContent = words;
  $("kept").hidden = !words;
}

function show(text, url) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const fresh = page.getElementById("confirm");
  if (!fresh) return false;
  const opened = $("more") && !$("more").hidden;
  const key = document.activeElement && document.activeElement.dataset ? document.activeElement.dataset.key || document.activeElement.id : "";
  $("confirm").replaceWith(fresh);
  document.title = page.title;
  history.replaceState(null, "", url);
  if (opened && $("more")) open(true, false);
  const again = key && (document.querySelector(`#confirm [data-key="${CSS.escape(key)}"]`) || document.getElementById(key));
  if (again) again.focus();
  return true;
}

// How many answers wait here, in words.
function waits() {
  const count = waiting().length;
  return `${count} ${count === 1 ? "answer waits" : "answers wait"} on this tablet.`;
}

// Deeds go one after the other in the order they were done. One leaves the tablet when the shop has taken it or refused it for good;
// a shop that is not reached, or cannot write just now, is asked again. What is touched meanwhile stays behind it.
async function send() {
  if (sending || !waiting().length) return;
  sending = true;
  const refused = [];
  const slow = setInterval(() => say(`Not kept yet. ${waits()}`), SLOW_MS);
  try {
    while (waiting().length) {
      const [first] = waiting();
      const answer = await fetch(first.at, { method: "POST", body: new URLSearchParams(first.fields), signal: AbortSignal.timeout(LONGEST_MS) });
      const text = await answer.text();
      if (answer.status >= 500) { say(`Not kept yet. ${refusal(text)} ${waits()}`); return; }
      keepWaiting(waiting().filter((one) => one.fields.once !== first.fields.once));
      if (!answer.ok) { refused.push(refusal(text)); refusedDeeds.add(first.fields.once); }
      say(refused.join(" "));
      if (answer.ok && first.at.startsWith($("confirm").dataset.at)) show(text, answer.url);
    }
  } catch {
    say(`Not kept yet: the shop machine is not reached. ${waits()}`);
  } finally {
    clearInterval(slow);
    sending = false;
  }
}

function refusal(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const said = page.querySelector("main .wrong") || page.querySelector("main h1");
  return said ? said.textContent.trim() : "The shop does not answer.";
}

// Each deed has a word of its own, so that one sent twice is done once, and the moment it was done, so that one that comes late still counts.
function waitingDeed(at, fields) {
  const once = [...crypto.getRandomValues(new Uint8Array(12))].map((one) => one.toString(16).padStart(2, "0")).join("");
  keepWaiting([...waiting(), { at, fields: { ...fields, once, done_at: new Date().toISOString() } }]);
  return once;
}

function done(form) {
  waitingDeed(form.getAttribute("action"), Object.fromEntries(new FormData(form)));
  return send();
}

async function go(address) {
  if (sending) return;
  await send();
  try {
    const answer = await fetch(address);
    if (!answer.ok || !show(await answer.text(), answer.url)) location.href = address;
  } catch {
    if (!waiting().length) say("Not reached: the shop machine does not answer. What was kept is safe.");
  }
}

function open(wide, first = true) {
  $("more").hidden = !wide;
  $("correct").setAttribute("aria-expanded", String(wide));
  if (wide && first) $("p-component").focus();
}

document.addEventListener("submit", (event) => {
  if (!event.target.closest("#confirm")) return;
  event.preventDefault();
  done(event.target);
});
// In a list that keys move through every step is a change: what is meant is known when it is left, or by Enter. What a finger
// picked is meant; the list then lets go, so that the next key is a deed and no other word of the list.
let stepping = null;
let stepped = false;
document.addEventListener("pointerdown", () => { stepping = null; });
document.addEventListener("change", (event) => {
  if (!event.target.matches("[data-pick]")) return;
  if (stepping === event.target) { stepped = true; return; }
  event.target.blur();
  done(event.target.form);
});
document.addEventListener("focusout", (event) => {
  if (stepping === event.target) picked(event.target);
});
function picked(list) {
  const meant = stepped;
  stepping = null; stepped = false;
  if (meant) done(list.form);
}
function stepsThrough(list, key) {
  if (key === "Enter") { if (stepped) { list.blur(); document.querySelector('[data-key="a"]').focus(); } stepping = null; return; }
  if (key === "Escape") { stepping = null; stepped = false; list.form.reset(); list.blur(); return; }
  if (key.length === 1 || key.startsWith("Arrow") || ["Home", "End", "PageUp", "PageDown"].includes(key)) stepping = list;
}
document.addEventListener("click", (event) => {
  const link = event.target.closest("a.tick, a[data-go]");
  if (link && !event.ctrlKey && !event.metaKey) { event.preventDefault(); go(link.getAttribute("href")); }
  // By key the first list is taken up; a finger picks its own.
  if (event.target.closest("#correct")) open($("more").hidden, !event.detail);
  if (event.target.closest("#play")) play();
  const doubted = event.target.closest("[data-play-from]");
  if (doubted) play(Number(doubted.dataset.playFrom), Number(doubted.dataset.playTo));
});
document.addEventListener("keydown", (event) => {
  if (event.target.matches("[data-pick]")) { if (!event.ctrlKey && !event.metaKey) stepsThrough(event.target, event.key); return; }
  if (event.ctrlKey || event.metaKey || event.altKey || event.target.matches("select, input, textarea")) return;
  const key = event.key.toLowerCase();
  const side = { arrowleft: "before", arrowright: "following" }[key];
  if (side) { const link = document.querySelector(`[data-go="${side}"]`); if (link) { event.preventDefault(); go(link.getAttribute("href")); } return; }
  if (key === "p") { event.preventDefault(); play(); return; }
  const button = [...document.querySelectorAll(`[data-key="${CSS.escape(key)}"]`)].find((one) => !one.hidden);
  if (button) { event.preventDefault(); button.click(); }
});
for (const when of ["online", "pageshow"]) window.addEventListener(when, send);
document.addEventListener("visibilitychange", () => { if (!document.hidden) send(); });
setInterval(() => { if (waiting().length) send(); }, 3000);

// The seconds around the finding, or around what is in doubt, and no further.
function play(from = null, to = null) {
  const player = $("player");
  if (!player || quiet()) return;
  const until = to ?? Number(player.dataset.to);
  player.currentTime = from ?? Number(player.dataset.from);
  player.ontimeupdate = () => { if (player.currentTime >= until) { player.pause(); player.ontimeupdate = null; } };
  player.play();
}

// Lines spoken to the tablet: sixteen thousand samples a second, heard and read by the shop, read back, kept by a thumb or by "keep it".
let mic = null;
let lumps = [];
let heard = null;
let free = false;
let busy = false;
let speaking = false;
let apart = null;
let hushed = false;
let floor = 0.01;
let loudCount = 0;
let quietCount = 0;
let begun = false;

function voice() {
  if (!window.speechSynthesis) return null;
  const ours = speechSynthesis.getVoices().filter((one) => one.localService && one.lang.toLowerCase().startsWith("en"));
  return ours.find((one) => one.lang.toLowerCase() === "en-gb") || ours[0] || null;
}

// Only a voice that lies on this tablet: nothing is sent away to be spoken. What is read out always stands there too.
function aloud(words) {
  const chosen = voice();
  $("mute").hidden = Boolean(chosen) || !words;
  if (quiet() || hushed || !chosen || !words) return;
  const said = new SpeechSynthesisUtterance(words);
  said.voice = chosen;
  said.lang = chosen.lang;
  const over = () => { speaking = false; forget(); };
  said.onend = over; said.onerror = over;
  speaking = true;
  setTimeout(over, 2000 + 110 * words.length);
  speechSynthesis.cancel();
  speechSynthesis.speak(said);
}

function line(words) { $("line").textContent = words; }

function wav(all) {
  const count = all.reduce((sum, one) => sum + one.length, 0);
  const view = new DataView(new ArrayBuffer(44 + 2 * count));
  const put = (at, text) => [...text].forEach((one, k) => view.setUint8(at + k, one.charCodeAt(0)));
  put(0, "RIFF"); view.setUint32(4, 36 + 2 * count, true); put(8, "WAVEfmt "); view.setUint32(16, 16, true);
  view.setUint16(20, 1, true); view.setUint16(22, 1, true); view.setUint32(24, HEARD_HZ, true); view.setUint32(28, 2 * HEARD_HZ, true);
  view.setUint16(32, 2, true); view.setUint16(34, 16, true); put(36, "data"); view.setUint32(40, 2 * count, true);
  let at = 44;
  for (const one of all) for (const sample of one) { view.setInt16(at, Math.max(-1, Math.min(1, sample)) * 32767, true); at += 2; }
  return view.buffer;
}

function forget() { lumps = []; begun = false; loudCount = 0; quietCount = 0; }

// A line begins when it is louder than the room and ends with a hush; what the tablet itself says is passed over.
function took(lump) {
  if (!mic || busy || speaking) return;
  const level = Math.sqrt(lump.reduce((sum, one) => sum + one * one, 0) / lump.length);
  floor = Math.min(level < floor ? level : floor * 1.01, 0.05);
  const loud = level > Math.max(0.008, 3 * floor);
  lumps.push(lump);
  if (!begun) {
    loudCount = loud ? loudCount + 1 : 0;
    if (loudCount >= LOUD_LUMPS) { begun = true; quietCount = 0; }
    if (!begun && lumps.length > BEFORE_LUMPS) lumps.shift();
    return;
  }
  quietCount = loud ? 0 : quietCount + 1;
  if (quietCount >= HUSH_LUMPS || lumps.length * 2048 > MOST_S * HEARD_HZ) finish();
}

async function open_mic() {
  try {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: { channelCount: { ideal: 1 } } });
    const context = new AudioContext({ sampleRate: HEARD_HZ });
    await context.audioWorklet.addModule(document.querySelector("[data-worklet]").dataset.worklet);
    const taker = new AudioWorkletNode(context, "taker", { numberOfOutputs: 0 });
    taker.port.onmessage = (event) => took(event.data);
    context.createMediaStreamSource(stream).connect(taker);
    mic = async () => { stream.getTracks().forEach((one) => one.stop()); await context.close(); };
    stream.getTracks()[0].onended = () => { close_mic(); line("The microphone was taken away. Touch to listen again."); };
    if (free && navigator.wakeLock) navigator.wakeLock.request("screen").catch(() => {});
    return true;
  } catch (wrong) {
    line(`No microphone: ${wrong.message}. Write it down on the page Findings.`);
    return false;
  }
}

async function close_mic() {
  const end = mic;
  mic = null; free = false; apart = null; hushed = false;
  forget();
  $("talk").textContent = "Speak";
  $("free").textContent = "Hands-free";
  $("free").setAttribute("aria-pressed", "false");
  if (end) await end();
}

async function talk() {
  if (quiet()) return;
  if (mic) { if (lumps.length) await finish(); else await close_mic(); return; }
  heard = null; pending(false); forget();
  if (!await open_mic()) return;
  $("talk").textContent = "That is all";
  line("Listening. It ends by itself when you stop.");
}

async function hands_free() {
  if (quiet()) return;
  if (free) { await close_mic(); line(""); return; }
  if (mic) await close_mic();
  heard = null; pending(false); forget(); free = true;
  if (!await open_mic()) { free = false; return; }
  $("free").textContent = "Stop listening";
  $("free").setAttribute("aria-pressed", "true");
  line("Listening. Say a line; then “keep it” or “say again”. “Pause”, “private” and “hush” hold until “carry on”.");
}

function pending(on) {
  $("keep").hidden = !on; $("drop").hidden = !on; $("talk").hidden = on && !free;
}

async function finish() {
  const sound = lumps;
  forget();
  const only = apart;
  if (!free) await close_mic();
  if (!only) line("Reading the line.");
  busy = true;
  try {
    const answer = await fetch(`${$("confirm").dataset.at}/line${only ? "?only=orders" : ""}`, { method: "POST", body: wav(sound), headers: { "Content-Type": "audio/wav" } });
    if (!answer.ok) { if (!only) { line(refusal(await answer.text()).replace(/^line: /, "")); aloud(free ? "Say again." : ""); } return; }
    const told = await answer.json();
    if (told.order) ordered(told.order); else if (!only) read(told);
  } catch {
    line("The shop machine is not reached. Say it again when it is.");
  } finally {
    busy = false; forget();
  }
}

function read(told) {
  heard = told;
  const doubt = told.twice === false ? " Heard twice, and not the same: look at the figure." : "";
  line(`${told.reads}${doubt}`);
  pending(true);
  aloud(`${told.reads}${doubt}`);
}

function ordered(order) {
  if (apart && order !== "carry_on") return;
  if (order === "keep") { if (heard) keep_line(); else line("There is nothing to keep. Say a line."); }
  if (order === "again") { again(); line("Say it again."); aloud("Say it again."); }
  if (order === "pause" || order === "private") {
    again(); apart = order;
    line(order === "pause" ? "Paused until “carry on”." : "Private: nothing is read or kept until “carry on”.");
    if (!free) apart = null;
  }
  if (order === "hush") { hushed = free; line("Hushed: it is shown and not read out, until “carry on”."); if (window.speechSynthesis) speechSynthesis.cancel(); }
  if (order === "hours_start" || order === "hours_stop") count_hours(order === "hours_start");
  if (order === "carry_on") { apart = null; hushed = false; line("Listening."); }
}

// Hours are counted from the word on; a word that comes late to the shop counts from when it was said.
async function count_hours(begin) {
  const once = waitingDeed(`${$("confirm").dataset.at}/hours/${begin ? "start" : "stop"}`, {});
  await send();
  const waitsHere = waiting().some((one) => one.fields.once === once);
  const words = waitsHere ? "The hours wait on this tablet." : refusedDeeds.has(once) ? "The hours were not counted." : begin ? "Hours started." : "Hours stopped.";
  line(words); aloud(words);
}

function again() {
  heard = null; pending(false); $("talk").hidden = false; line("");
}

async function keep_line() {
  if (!heard) return;
  const once = waitingDeed(`${$("confirm").dataset.at}/line/keep`, { text: heard.text });
  again();
  await send();
  const waitsHere = waiting().some((one) => one.fields.once === once);
  const words = waitsHere ? "It waits on this tablet." : refusedDeeds.has(once) ? "It was not kept." : "Kept.";
  line(words); aloud(free ? words : "");
}

function hush(on) {
  localStorage.setItem(QUIET, on ? "yes" : "no");
  $("quiet").setAttribute("aria-pressed", String(on));
  $("quiet").textContent = on ? "Quiet is on. Touch when your hands are free" : "Quiet: hands on a let-down, lathe or weight";
  $("talk").disabled = on; $("free").disabled = on;
  if (!on) return;
  if (window.speechSynthesis) speechSynthesis.cancel();
  if ($("player")) $("player").pause();
  if (mic) { close_mic(); line(""); }
}

$("speak").hidden = false;
if (!window.isSecureContext || !navigator.mediaDevices) {
  $("how").textContent = "This browser gives no microphone to a page that is neither on this device nor over https. Write the finding down on the page Findings.";
  $("talk").hidden = true; $("free").hidden = true;
}
$("talk").addEventListener("click", talk);
$("free").addEventListener("click", hands_free);
$("drop").addEventListener("click", again);
$("quiet").addEventListener("click", () => hush(!quiet()));
$("keep").addEventListener("click", keep_line);
hush(quiet());
send();
