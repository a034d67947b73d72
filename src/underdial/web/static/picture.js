// Drawing on a picture: pick what, then touch. An arrow and a ring take two touches, a number one; each mark is kept as it is made.
const STEPS = {
  arrow: ["Touch where the arrow points.", "Touch where it begins."], ring: ["Touch the middle of the ring.", "Touch its edge."],
  number: ["Touch where the number stands."], scale: ["Touch one end of a length you know.", "Touch its other end."],
};
const STEP_RATIO = 0.02;
const FINE_RATIO = 0.004;
let tool = null;
let points = [];
let cross = { x: 0.5, y: 0.5 };

const $ = (id) => document.getElementById(id);
const stack = () => document.querySelector("#stage .stack");

function say(words) { $("kept").textContent = words; $("kept").hidden = !words; }

function show(text, url) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const fresh = page.getElementById("picture");
  if (!fresh) return false;
  $("picture").replaceWith(fresh);
  document.title = page.title;
  history.replaceState(null, "", url);
  ready();
  return true;
}

function refusal(text) {
  const page = new DOMParser().parseFromString(text, "text/html");
  const said = page.querySelector("main .wrong") || page.querySelector("main h1");
  return said ? said.textContent.trim() : "The shop does not answer.";
}

async function post(address, fields) {
  try {
    const answer = await fetch(address, { method: "POST", body: new URLSearchParams(fields) });
    const text = await answer.text();
    // What was picked and touched while the answer was on its way goes on.
    const [held, touched] = [tool, points];
    if (!answer.ok) say(refusal(text)); else if (!show(text, answer.url)) location.href = answer.url;
    if (answer.ok && STEPS[held] && (held !== "scale" || touched.length)) { pick(held, true); for (const one of touched) put(one.x, one.y); }
  } catch {
    say("Not kept: the shop machine is not reached. Do it again when it is; what was kept is safe.");
  }
}

function pick(name, again) {
  tool = tool === name && !again ? null : name;
  points = [];
  for (const one of document.querySelectorAll("[data-tool]")) one.setAttribute("aria-pressed", String(one.dataset.tool === tool));
  $("stage").classList.toggle("drawing-now", Boolean(tool));
  $("scale").hidden = true;
  $("cross").hidden = true;
  const plane = stack();
  if (tool) { plane.tabIndex = 0; plane.setAttribute("role", "application"); plane.setAttribute("aria-label", "The picture: arrow keys move the cross, Enter sets the point, Escape ends"); } else { plane.removeAttribute("tabindex"); plane.removeAttribute("role"); plane.removeAttribute("aria-label"); }
  $("tell").textContent = tool ? STEPS[tool][0] : "Pick what to draw.";
  if (tool && !again) cross = { x: 0.5, y: 0.5 };
}

function put(x, y) {
  points.push({ x, y });
  if (points.length < STEPS[tool].length) { place(x, y); $("tell").textContent = STEPS[tool][points.length]; return; }
  const [first, second] = points;
  const at = $("picture").dataset.at;
  const fixed = (value) => value.toFixed(4);
  if (tool === "scale") {
    const form = $("scale");
    for (const [name, value] of [["x1", first.x], ["y1", first.y], ["x2", second.x], ["y2", second.y]]) form.elements[name].value = fixed(value);
    form.hidden = false;
    $("tell").textContent = "Say how far the two points are apart.";
    $("length").focus();
    points = [];
    return;
  }
  const fields = { kind: tool, x: fixed(first.x), y: fixed(first.y) };
  const box = stack().getBoundingClientRect();
  if (tool === "arrow") { fields.from_x = fixed(second.x); fields.from_y = fixed(second.y); }
  if (tool === "ring") fields.radius = fixed(Math.min(0.6, Math.max(0.005, Math.hypot(second.x - first.x, (second.y - first.y) * box.height / box.width))));
  if (tool === "number") fields.number = $("picture").dataset.number;
  points = [];
  post(`${at}/mark`, fields);
}

function place(x, y) {
  cross = { x, y };
  const box = stack().getBoundingClientRect();
  const stage = $("stage").getBoundingClientRect();
  $("cross").style.left = `${box.left - stage.left + x * box.width}px`;
  $("cross").style.top = `${box.top - stage.top + y * box.height}px`;
  $("cross").removeAttribute("hidden");
}

document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-tool]");
  if (button) { pick(button.dataset.tool, false); if (tool) stack().focus({ preventScroll: true }); return; }
  const plane = event.target.closest("#stage .stack");
  if (!plane || !tool) return;
  const box = plane.getBoundingClientRect();
  put(Math.min(1, Math.max(0, (event.clientX - box.left) / box.width)), Math.min(1, Math.max(0, (event.clientY - box.top) / box.height)));
});

document.addEventListener("keydown", (event) => {
  if (!tool || document.activeElement !== stack()) return;
  const step = event.shiftKey ? FINE_RATIO : STEP_RATIO;
  const [dx, dy] = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[event.key] || [0, 0];
  if (dx || dy) { event.preventDefault(); place(Math.min(1, Math.max(0, cross.x + dx)), Math.min(1, Math.max(0, cross.y + dy))); }
  if (event.key === "Enter") { event.preventDefault(); place(cross.x, cross.y); put(cross.x, cross.y); }
  if (event.key === "Escape") pick(tool, false);
});

document.addEventListener("submit", (event) => {
  if (!event.target.matches("[data-deed]")) return;
  event.preventDefault();
  post(event.target.getAttribute("action"), Object.fromEntries(new FormData(event.target)));
});

function ready() { $("draw").hidden = false; tool = null; points = []; }

ready();
