/* Fourth part: what a page that holds this view may ask of it, and what it is told: a place, a stage by name, the bore
   after the cut, how often each place stays black. */
let place = null; // { theta, depth } pointed at from outside
let often = null; // { shape: [n, m], share: [...], top } of the draws
let kept = null; // the last stage before the finish cut took its metal off

/* The wall along the clock of the place, and a short mark across at its depth. */
function placeLines() {
  const out = [], { theta, depth } = place, level = (a, z) => (stock[levelAt(state.stage, a, z)[0]] + 0.5) * STEP + 0.08;
  let before = null;
  for (let j = 0; j <= 160; j++) {
    const z = (j / 160) * LENGTH, here = pointAt(theta, z, level(theta, Math.min(z, LENGTH - 1e-6)));
    if (before) out.push(...before, ...here);
    before = here;
  }
  before = null;
  for (let k = -3; k <= 3; k++) {
    const a = theta + k * 0.03, here = pointAt(a, depth, level(a, depth));
    if (before) out.push(...before, ...here);
    before = here;
  }
  return out;
}

/* The least of every cell after the last layer, as the finish cut leaves it. */
function cutDown(on) {
  if (on === Boolean(kept)) return;
  const from = LAST * N * M;
  if (on) {
    kept = stock.slice(from);
    for (let k = from; k < stock.length; k++) stock[k] = Math.min(stock[k], 0);
  } else {
    stock.set(kept, from);
    kept = null;
  }
  painter.update(LAST);
}

function showAs(told) {
  if (told.stage !== undefined) state.stage = Math.max(0, Math.min(LAST, told.stage));
  if (told.finished !== undefined) cutDown(told.finished);
  if (told.place !== undefined) place = told.place;
  if (told.often !== undefined) {
    often = told.often;
    if (often) META.colours.often = often.colours;
    if (often) TOPS.often = 1000 * STEP;
  }
  if (told.colour !== undefined) state.colour = told.colour;
  if (told.theme !== undefined && told.theme !== LOOK.theme) { LOOK.theme = told.theme; dress(); }
  refresh({ words: true });
}

whenReady.push(() => {
  let from = null;
  canvas.addEventListener("pointerdown", (event) => (from = [event.clientX, event.clientY]));
  canvas.addEventListener("pointerup", (event) => {
    if (!from || !view.onplace || Math.hypot(event.clientX - from[0], event.clientY - from[1]) > 4) return;
    const box = canvas.getBoundingClientRect(), hit = firstMetal(...rayAt(event.clientX - box.left, event.clientY - box.top));
    if (hit && hit.why === "hole") view.onplace({ clock: modulo(Math.atan2(hit.at[0], hit.at[1]), TURN), depth: -hit.at[2] });
  });
  Object.assign(view, { show: showAs, stages: META.stages, last: LAST, before: BEFORE, placed: () => place });
});
