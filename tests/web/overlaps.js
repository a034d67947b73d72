// What lies on what, and what sticks out to the side, as the page stands now.
() => {
  const wide = document.documentElement.clientWidth;
  const ups = function* (one) { for (let up = one; up; up = up.parentElement) yield up; };
  const scrolledIn = (one) => [...ups(one.parentElement)].some((up) => up !== document.documentElement && up !== document.body && /auto|scroll/.test(getComputedStyle(up).overflowX));
  // What sticks to the screen passes over the rest as it is scrolled; only within it nothing may lie on anything.
  const stuckTo = (one) => [...ups(one)].find((up) => getComputedStyle(up).position === "sticky") || null;
  const seen = (one) => one.checkVisibility() && one.getBoundingClientRect().width > 1.5 && !one.closest(".by-ear, .skip");
  const says = (one) => (one.getAttribute("aria-label") || one.textContent || one.name || one.id || one.tagName).trim().replace(/\s+/g, " ").slice(0, 60);
  const meet = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 1 && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 1;
  const touched = [...document.querySelectorAll("button, .button, a[href], select, textarea, summary, input:not([type=hidden])")].filter(seen)
    .filter((one) => getComputedStyle(one).position !== "absolute")
    .map((one) => ({ one, stuck: stuckTo(one), boxes: [...one.getClientRects()] }));
  const overlaps = [];
  touched.forEach((a, k) => touched.slice(k + 1).forEach((b) => {
    if (a.stuck !== b.stuck || a.one.contains(b.one) || b.one.contains(a.one)) return;
    if (a.boxes.some((one) => b.boxes.some((other) => meet(one, other)))) overlaps.push(`${says(a.one)} / ${says(b.one)}`);
  }));
  const out = [...document.querySelectorAll("body *")].filter(seen).filter((one) => !one.parentElement.closest("svg"))
    .filter((one) => { const box = one.getBoundingClientRect(); return (box.right > wide + 1 || box.left < -1) && !scrolledIn(one); })
    .map((one) => `${one.tagName} ${says(one)}`);
  return { overlaps, out, scrolls: document.documentElement.scrollWidth > wide };
}
