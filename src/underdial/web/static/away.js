// What was seen in this visit can be read when the shop is not reached. A page says itself whether it may be kept (data-keep);
// what is marked private is taken out of the copy, with its forms, pictures and recordings. With a service worker (this machine, or
// https) the copies lie in its shelf and serve reload and back as well; without one they lie in this tab, and links open them.
const SHELF = "underdial-seen";
const CLOTHES = "underdial-clothes";
const LONGEST_MS = 12 * 3600 * 1000;
const REACHED_MS = 4000;
const works = "serviceWorker" in navigator && window.isSecureContext;
const key = (at) => at.pathname + at.search;
const time = (at) => new Date(at).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });

function copyOf(at) {
  const page = document.documentElement.cloneNode(true);
  page.querySelectorAll("script, [data-private], video, audio, noscript, .shut form, form [type=hidden]").forEach((one) => one.remove());
  page.querySelectorAll("input, select, textarea, button").forEach((one) => one.setAttribute("disabled", ""));
  page.querySelectorAll("img").forEach((one) => {
    const words = document.createElement("span");
    words.className = "note";
    words.textContent = `Picture, not kept here: ${one.alt}`;
    one.replaceWith(words);
  });
  const said = document.createElement("p");
  said.className = "caution";
  said.id = "as-of";
  said.setAttribute("role", "status");
  said.innerHTML = `<span class="caps">Not connected</span>As of ${time(at)}, not connected: to be read, not written on. <a href="">Try again</a>`;
  page.querySelector("main").prepend(said);
  return `<!doctype html>${page.outerHTML}`;
}

async function keepOnShelf(at) {
  const shelf = await caches.open(SHELF);
  for (const one of await shelf.keys()) {
    const kept = await shelf.match(one);
    if (at - Number(kept.headers.get("X-Kept-At")) > LONGEST_MS) await shelf.delete(one);
  }
  const head = { "Content-Type": "text/html; charset=utf-8", "X-Kept-At": String(at), "Content-Security-Policy": "default-src 'self'; script-src 'none'; style-src 'self' 'unsafe-inline'; base-uri 'none'; form-action 'none'" };
  await shelf.put(key(location), new Response(copyOf(at), { headers: head }));
  const clothes = await caches.open(CLOTHES);
  const worn = performance.getEntriesByType("resource").map((one) => one.name).filter((one) => new URL(one).pathname.startsWith("/static/"));
  for (const one of worn) if (!(await clothes.match(one))) await clothes.add(one).catch(() => {});
}

function keepInTab(at) {
  const kept = JSON.stringify({ at, page: copyOf(at) });
  inTab();
  for (let tries = 0; tries < 20; tries += 1) {
    try { sessionStorage.setItem(`seen ${key(location)}`, kept); return; } catch { if (!forgetOldest()) return; }
  }
}

// The copies in this tab, the oldest first; what is too old is taken away by looking.
function inTab() {
  const all = Object.keys(sessionStorage).filter((one) => one.startsWith("seen "))
    .map((one) => ({ key: one.slice(5), ...JSON.parse(sessionStorage.getItem(one)) })).sort((a, b) => a.at - b.at);
  const old = all.filter((one) => Date.now() - one.at >= LONGEST_MS);
  for (const one of old) sessionStorage.removeItem(`seen ${one.key}`);
  return all.slice(old.length);
}

function forgetOldest() {
  const [oldest] = inTab();
  if (oldest) sessionStorage.removeItem(`seen ${oldest.key}`);
  return Boolean(oldest);
}

function keep() {
  if (document.documentElement.dataset.keep === undefined || document.getElementById("as-of")) return;
  if (works) keepOnShelf(Date.now()).catch(() => {}); else keepInTab(Date.now());
}

// Without a service worker: a link is followed when the shop answers; else the copy stands in its place.
function notKept(address) {
  const links = inTab().map((one) => `<li><a class="turn" href="${encodeURI(one.key)}">${new DOMParser().parseFromString(one.page, "text/html").title.split(" · ")[0].replaceAll("<", "&lt;")}</a> <span class="note">as of ${time(one.at)}</span></li>`).join("");
  return `<main id="sheet"><p class="caution" id="as-of" role="status"><span class="caps">Not connected</span>The shop is not reached, and this page is not kept here: it was not seen in this visit, or it is one that is never kept (people, what they say and agreed, papers). <a href="${encodeURI(address)}">Try again</a></p><h1>Not connected</h1><ul class="rows plain">${links}</ul></main>`;
}

function showKept(address) {
  const at = new URL(address, location.href);
  const every = inTab();
  const found = every.find((one) => one.key === key(at)) || every.findLast((one) => one.key.startsWith(`${at.pathname}/`) && at.pathname !== "/");
  if (found) {
    const page = new DOMParser().parseFromString(found.page, "text/html");
    document.title = page.title;
    page.querySelectorAll('link[rel="stylesheet"]').forEach((one) => { if (!document.querySelector(`link[href="${one.getAttribute("href")}"]`)) document.head.append(one); });
    document.body.replaceWith(page.body);
  } else {
    document.body.innerHTML = notKept(key(at));
  }
  window.scrollTo(0, 0);
}

async function reached() {
  try { return (await fetch("/static/mark.svg", { method: "HEAD", cache: "no-store", signal: AbortSignal.timeout(REACHED_MS) })).ok; } catch { return false; }
}

async function follow(event) {
  const link = event.target.closest && event.target.closest("a[href]");
  if (!link || event.defaultPrevented || event.button || event.ctrlKey || event.metaKey || event.shiftKey || link.target || link.hasAttribute("download")) return;
  const to = new URL(link.getAttribute("href") || location.href, location.href);
  if (to.origin !== location.origin || (to.hash && key(to) === key(location))) return;
  event.preventDefault();
  if (await reached()) { location.href = to.href; return; }
  if (key(to) !== key(location)) history.pushState({ seen: true }, "", to.href);
  showKept(to.href);
}

if (works) {
  navigator.serviceWorker.register("/away_worker.js").catch(() => {});
} else {
  window.addEventListener("click", follow);
  window.addEventListener("popstate", async () => { if (await reached()) location.reload(); else showKept(location.href); });
}
keep();
document.addEventListener("htmx:afterSettle", keep);
