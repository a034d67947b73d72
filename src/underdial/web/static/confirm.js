// Reading through: each deed is sent as it is done and kept on the tablet until the shop has it. Without scripts the forms do the same.
const $ = (id) => document.getElementById(id);
const WAITING = "underdial-waiting";
const QUIET = "underdial-quiet";
const HEARD_HZ = 16000;
const MOST_S = 12;
let sending = false;

const waiting = () => JSON.parse(localStorage.getItem(WAITING) || "[]");
const keepWaiting = (all) => localStorage.setItem(WAITING, JSON.stringify(all));
const quiet = () => localStorage.getItem(QUIET) === "yes";

function say(words) {
  $("kept").textContent = words;
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
  if (opened && $("more")) open(true);
  const again = key && (document.querySelector(`#confirm [data-key="${CSS.escape(key)}"]`) || document.getElementById(key));
  if (again) again.focus();
  return true;
}

// Deeds go one after the other in the order they were done; what the shop has not answered stays on the tablet.
async function send() {
  if (sending) return;
  sending = true;
  try {
    while (waiting().length) {
      const [first, ...rest] = waiting();
      const answer = await fetch(first.at, { method: "POST", body: new URLSearchParams(first.fields) });
      keepWaiting(rest);
      const text = await answer.text();
      if (answer.ok) { say(""); if (first.at.startsWith($("confirm").dataset.at)) show(text, answer.url); } else say(refusal(text));
    }
  } catch {
    const count = waiting().length;
    say(`Not kept yet: the shop machine is not reached. ${count} ${count === 1 ? "answer waits" : "answers wait"} on this tablet.`);
  } finally {
    sending = false;
  }
}

function refusal(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const said = page.querySelector("main h1");
  return said ? said.textContent.trim() : "The shop does not answer.";
}

function done(form) {
  keepWaiting([...waiting(), { at: form.getAttribute("action"), fields: Object.fromEntries(new FormData(form)) }]);
  return send();
}

async function go(address) {
  if (waiting().length) { send(); return; }
  try {
    const answer = await fetch(address);
    if (!answer.ok || !show(await answer.text(), answer.url)) location.href = address;
  } catch {
    say("Not reached: the shop machine does not answer. What was kept is safe.");
  }
}

function open(wide) {
  $("more").hidden = !wide;
  $("correct").setAttribute("aria-expanded", String(wide));
  if (wide) $("p-component").focus();
}

document.addEventListener("submit", (event) => {
  if (!event.target.closest("#confirm")) return;
  event.preventDefault();
  done(event.target);
});
document.addEventListener("change", (event) => {
  if (event.target.matches("[data-pick]")) done(event.target.form);
});
document.addEventListener("click", (event) => {
  const link = event.target.closest("a.tick, a[data-go]");
  if (link && !event.ctrlKey && !event.metaKey) { event.preventDefault(); go(link.getAttribute("href")); }
  if (event.target.closest("#correct")) open($("more").hidden);
  if (event.target.closest("#play")) play();
});
document.addEventListener("keydown", (event) => {
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

// The seconds around the finding, and no further.
function play() {
  const player = $("player");
  if (!player || quiet()) return;
  const until = Number(player.dataset.to);
  player.currentTime = Number(player.dataset.from);
  player.ontimeupdate = () => { if (player.currentTime >= until) { player.pause(); player.ontimeupdate = null; } };
  player.play();
}

// One line spoken to the tablet: sixteen thousand samples a second, heard and read by the shop, read back, kept by a thumb.
let close = null;
let lumps = [];
let heard = null;

function aloud(words) {
  if (quiet() || !window.speechSynthesis) return;
  speechSynthesis.cancel();
  speechSynthesis.speak(new SpeechSynthesisUtterance(words));
}

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

async function talk() {
  if (quiet()) return;
  if (close) { await finish(); return; }
  heard = null; lumps = []; $("keep").hidden = true; $("drop").hidden = true;
  try {
    const stream = await navigator.mediaDevices.getUserMedia({ audio: { channelCount: { ideal: 1 } } });
    const context = new AudioContext({ sampleRate: HEARD_HZ });
    await context.audioWorklet.addModule(document.querySelector("[data-worklet]").dataset.worklet);
    const taker = new AudioWorkletNode(context, "taker", { numberOfOutputs: 0 });
    taker.port.onmessage = (event) => { lumps.push(event.data); if (lumps.length * 2048 > MOST_S * HEARD_HZ) finish(); };
    context.createMediaStreamSource(stream).connect(taker);
    close = async () => { stream.getTracks().forEach((one) => one.stop()); await context.close(); };
    $("talk").textContent = "That is all";
    $("line").textContent = "Listening. Touch again when the line is said.";
  } catch (wrong) {
    $("line").textContent = `No microphone: ${wrong.message}. Write it down on the page Findings.`;
  }
}

async function finish() {
  const end = close;
  if (!end) return;
  close = null;
  await end();
  $("talk").textContent = "Speak";
  $("line").textContent = "Reading the line.";
  try {
    const answer = await fetch(`${$("confirm").dataset.at}/line`, { method: "POST", body: wav(lumps), headers: { "Content-Type": "audio/wav" } });
    if (!answer.ok) { $("line").textContent = refusal(await answer.text()); return; }
    heard = await answer.json();
    const doubt = heard.twice === false ? " Heard twice, and not the same: look at the figure." : "";
    $("line").textContent = `${heard.reads}${doubt}`;
    $("keep").hidden = false; $("drop").hidden = false; $("talk").hidden = true;
    aloud(heard.reads);
  } catch {
    $("line").textContent = "The shop machine is not reached. Say it again when it is.";
  }
}

function again() {
  heard = null; $("keep").hidden = true; $("drop").hidden = true; $("talk").hidden = false; $("line").textContent = "";
}

function hush(on) {
  localStorage.setItem(QUIET, on ? "yes" : "no");
  $("quiet").setAttribute("aria-pressed", String(on));
  $("quiet").textContent = on ? "Quiet is on. Touch when your hands are free" : "Quiet: hands on a let-down, lathe or weight";
  $("talk").disabled = on;
  if (!on) return;
  if (window.speechSynthesis) speechSynthesis.cancel();
  if ($("player")) $("player").pause();
  if (close) { const end = close; close = null; end(); $("talk").textContent = "Speak"; $("line").textContent = ""; }
}

$("speak").hidden = false;
if (!window.isSecureContext || !navigator.mediaDevices) {
  $("how").textContent = "This browser gives no microphone to a page that is neither on this device nor over https. Write the finding down on the page Findings.";
  $("talk").hidden = true;
}
$("talk").addEventListener("click", talk);
$("drop").addEventListener("click", again);
$("quiet").addEventListener("click", () => hush(!quiet()));
$("keep").addEventListener("click", () => {
  if (!heard) return;
  keepWaiting([...waiting(), { at: `${$("confirm").dataset.at}/line/keep`, fields: { text: heard.text } }]);
  again(); $("line").textContent = "Kept."; send();
});
hush(quiet());
send();
