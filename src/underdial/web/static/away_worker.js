// Reads only: a page that is asked for and not reached is taken from what was seen in this visit (away.js lays it down).
const SHELF = "underdial-seen";
const CLOTHES = "underdial-clothes";
const LONGEST_MS = 12 * 3600 * 1000;
const html = (body) => new Response(body, { status: 503, headers: { "Content-Type": "text/html; charset=utf-8", "Content-Security-Policy": "default-src 'self'; script-src 'none'; style-src 'self' 'unsafe-inline'" } });
const safe = (words) => words.replaceAll("&", "&amp;").replaceAll("<", "&lt;").replaceAll('"', "&quot;");

async function fresh(shelf, one) {
  const kept = await shelf.match(one);
  return kept && Date.now() - Number(kept.headers.get("X-Kept-At")) < LONGEST_MS ? kept : undefined;
}

async function seen(request) {
  const at = new URL(request.url);
  const shelf = await caches.open(SHELF);
  const found = await fresh(shelf, at.pathname + at.search);
  if (found) return found;
  const keys = await shelf.keys();
  // A clock's own address leads to one of its pages.
  const near = keys.findLast((one) => at.pathname !== "/" && new URL(one.url).pathname.startsWith(`${at.pathname}/`));
  if (near && (await fresh(shelf, near))) return fresh(shelf, near);
  const clothes = (await (await caches.open(CLOTHES)).keys()).map((one) => one.url).filter((one) => one.includes(".css"));
  const links = [];
  for (const one of keys) {
    const kept = await fresh(shelf, one);
    if (!kept) continue;
    const title = /<title>([^<]*)/.exec(await kept.text())[1].split(" · ")[0];
    const when = new Date(Number(kept.headers.get("X-Kept-At"))).toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
    links.push(`<li><a class="turn" href="${safe(one.url)}">${title}</a> <span class="note">as of ${when}</span></li>`);
  }
  return html(`<!doctype html><html lang="en-GB"><head><meta charset="utf-8"><meta name="viewport" content="width=device-width, initial-scale=1"><title>Not connected · Underdial</title>${clothes.map((one) => `<link rel="stylesheet" href="${safe(one)}">`).join("")}</head><body><div class="sheet no-rail"><main id="sheet"><p class="caution" id="as-of" role="status"><span class="caps">Not connected</span>The shop is not reached, and this page is not kept here: it was not seen in this visit, or it is one that is never kept (people, what they say and agreed, papers). <a href="">Try again</a></p><h1>Not connected</h1><ul class="rows plain">${links.join("")}</ul></main></div></body></html>`);
}

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  if (request.method !== "GET") return;
  const at = new URL(request.url);
  if (request.mode === "navigate") event.respondWith(fetch(request).catch(() => seen(request)));
  else if (at.origin === self.location.origin && at.pathname.startsWith("/static/")) event.respondWith(fetch(request).catch(async () => (await caches.match(request)) || Response.error()));
});
