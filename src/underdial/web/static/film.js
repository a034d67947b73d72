// A recording handed in: its bytes are sent with what is done and left; then its page asks how far it is. Without scripts the form does it.
const EVERY_MS = 1500;
const form = document.getElementById("hand-in");

function megabytes(count) { return `${(count / 1e6).toFixed(count < 1e7 ? 1 : 0)} MB`; }

function refusal(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const said = page.querySelector("main .wrong") || page.querySelector("main h1");
  return said ? said.textContent.trim() : "The shop does not answer.";
}

function send(file) {
  const line = document.getElementById("sent");
  const wrong = document.getElementById("not-sent");
  const ask = new XMLHttpRequest();
  ask.open("POST", `${form.dataset.film}?name=${encodeURIComponent(file.name)}`);
  ask.upload.onprogress = (event) => {
    document.getElementById("sent-words").textContent = `Sent ${megabytes(event.loaded)} of ${megabytes(file.size)}.`;
    document.getElementById("sent-bar").style.width = `${(100 * event.loaded / file.size).toFixed(1)}%`;
  };
  const done = (words) => { line.hidden = true; form.hidden = false; wrong.textContent = words; wrong.hidden = !words; };
  ask.onload = () => { if (ask.status === 200) location.href = JSON.parse(ask.responseText).to; else done(refusal(ask.responseText)); };
  ask.onerror = () => done("Not sent: the shop machine is not reached. Hand it in again when it is.");
  ask.onabort = () => done("");
  document.getElementById("sent-stop").onclick = () => ask.abort();
  form.hidden = true; line.hidden = false; wrong.hidden = true;
  ask.send(file);
}

if (form) {
  form.addEventListener("submit", (event) => {
    const [file] = document.getElementById("file").files;
    const captions = document.getElementById("captions").files.length;
    if (!file || captions || !form.dataset.endings.split(" ").some((one) => file.name.toLowerCase().endsWith(one))) return;
    event.preventDefault();
    send(file);
  });
}

async function look() {
  try {
    const answer = await fetch(location.href);
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const fresh = page.getElementById("taking");
    if (!fresh) { location.reload(); return; }
    const held = document.activeElement && document.activeElement.tagName === "BUTTON";
    document.getElementById("taking").replaceWith(fresh);
    if (held) { const button = fresh.querySelector("button, a.main"); if (button) button.focus(); }
    if (fresh.dataset.over === "yes") return;
  } catch { /* The shop is not reached for a moment; what it hears goes on. */ }
  setTimeout(look, EVERY_MS);
}

if (document.getElementById("taking")) setTimeout(look, EVERY_MS);
