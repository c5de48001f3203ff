/* Last part: frames, controls, pointers, and the start. */
// ---- putting it together ------------------------------------------------------------------------------------

const view = (window.boreView = { frames: 0, lastMs: 0, readyMs: 0 });

/* While something moves, pixels are given up for time; once it rests, the picture is drawn again, smoothed. */
let share = 0.75, resting = 0, running = 0, lately = 0;
function sharpen(density) {
  const wide = Math.round(size[0] * density), high = Math.round(size[1] * density);
  if (canvas.width !== wide || canvas.height !== high) { canvas.width = wide; canvas.height = high; }
}
const density = () => Math.min(devicePixelRatio || 1, 2);
function frame() {
  dirty = false;
  const start = performance.now();
  sharpen(painter.sharp > 1 ? density() * share : 1);
  painter.draw(share);
  painter.wait();
  labels();
  view.frames++;
  view.lastMs = performance.now() - start;
  running = start - lately < 400 ? running + 1 : 0;
  lately = performance.now();
  if (running > 2 && view.lastMs > 90) share = Math.max(0.6, share * 0.85);
  else if (view.lastMs < 40) share = Math.min(1, share * 1.2);
  clearTimeout(resting);
  resting = setTimeout(rest, 220);
}
function rest() {
  if (dirty || (torch && torch.playing)) return;
  sharpen(painter.sharp > 1 ? Math.min(density() * painter.sharp, 2.5) : 1);
  painter.draw(1.4);
}
function refresh({ words = false, store = true } = {}) {
  if (words) { say(); legend(); }
  if (store) keep();
  if (!dirty) { dirty = true; requestAnimationFrame(() => dirty && frame()); }
}
function resize() {
  const box = $("picture").getBoundingClientRect(), now = [Math.max(box.width, 1), Math.max(box.height, 1)];
  if (now[0] === size[0] && now[1] === size[1]) return;
  size = now;
  refresh({ store: false });
}

const ACTS = {
  left: () => (state.round -= 0.12), right: () => (state.round += 0.12),
  up: () => (state.up = Math.min(1.5, state.up + 0.1)), down: () => (state.up = Math.max(-1.5, state.up - 0.1)),
  in: () => (state.away = Math.max(0.18, state.away / 1.15)), out: () => (state.away = Math.min(3, state.away * 1.15)),
  reset: resetView, worst: goToWorst,
};
const act = (name) => { ACTS[name](); refresh({ words: true }); };
const KEYS = { ArrowLeft: "left", ArrowRight: "right", ArrowUp: "up", ArrowDown: "down", "+": "in", "=": "in", "-": "out", Home: "reset" };

function controls() {
  if ($("stage")) $("stage").max = LAST;
  for (const id of ["stage", "open", "at"].filter($)) $(id).addEventListener("input", () => { state[id] = Number($(id).value); refresh({ words: true }); });
  $("colour").addEventListener("input", () => { state.colour = $("colour").value; refresh({ words: true }); });
  for (const id of ["finish", "spots", "heights"].filter($)) $(id).addEventListener("input", () => { state[id] = $(id).checked; refresh({ words: true }); });
  $("more").addEventListener("click", () => $("more").setAttribute("aria-expanded", String($("more").ariaExpanded !== "true")));
  for (const id of ["reset", "worst"].filter($)) $(id).addEventListener("click", () => act(id));
  for (const button of document.querySelectorAll("[data-turn]")) button.addEventListener("click", () => act(button.dataset.turn));
  $("controls").addEventListener("submit", (event) => event.preventDefault());
  canvas.addEventListener("keydown", (event) => {
    if (!KEYS[event.key] || event.ctrlKey || event.metaKey || event.altKey) return;
    event.preventDefault();
    act(KEYS[event.key]);
  });
  $("list").replaceChildren(...META.marks.map((m) => element("li", "", `${m.said}: ${m.cause}`)));
}

/* One finger or the mouse turns; two fingers zoom and tilt; with shift or the right button the bore is moved. */
function pointers() {
  const down = new Map();
  const spread = () => { const [a, b] = [...down.values()]; return Math.hypot(a.x - b.x, a.y - b.y); };
  const move = (dx, dy) => {
    const { side, above, half, distance } = camera(), each = (2 * half * distance) / size[1];
    state.shift = plus(plus(state.shift, side, -dx * each), above, dy * each).map((v) => Math.max(-LENGTH - META.body, Math.min(LENGTH + META.body, v)));
  };
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
  });
  canvas.addEventListener("pointermove", (event) => {
    const was = down.get(event.pointerId);
    if (!was) { if (event.pointerType === "mouse") readout(event); return; }
    const dx = event.clientX - was.x, dy = event.clientY - was.y, apart = down.size === 2 ? spread() : 0;
    down.set(event.pointerId, { x: event.clientX, y: event.clientY });
    if (down.size === 2) {
      state.away = Math.max(0.18, Math.min(3, (state.away * apart) / Math.max(spread(), 1)));
      state.up = Math.max(-1.5, Math.min(1.5, state.up + 0.004 * dy));
    } else if (event.shiftKey || event.buttons === 2) move(dx, dy);
    else {
      state.round -= 0.008 * dx;
      state.up = Math.max(-1.5, Math.min(1.5, state.up + 0.008 * dy));
    }
    refresh();
  });
  for (const name of ["pointerup", "pointercancel"]) canvas.addEventListener(name, (event) => {
    if (name === "pointerup" && event.pointerType === "touch") readout(event);
    down.delete(event.pointerId);
  });
  canvas.addEventListener("pointerleave", () => ($("readout").textContent = ""));
  canvas.addEventListener("contextmenu", (event) => event.preventDefault());
  canvas.addEventListener("wheel", (event) => {
    if (document.activeElement !== canvas && !event.ctrlKey) return;
    event.preventDefault();
    state.away = Math.max(0.18, Math.min(3, state.away * Math.exp(0.0012 * event.deltaY)));
    refresh();
  }, { passive: false });
}

function readoutAt(x, y) {
  const hit = firstMetal(...rayAt(x, y));
  if (!hit || hit.why !== "hole") return "";
  const theta = Math.atan2(hit.at[0], hit.at[1]), [k, flat] = levelAt(state.stage, theta, -hit.at[2]);
  const level = (stock[k] + 0.5) * STEP, layer = LAYER[state.stage] ? ` \u00b7 layer ${sized(thickness(state.stage, flat) * STEP)} thick` : "";
  const what = !judged[flat] ? "not judged" : level < 0 ? `short by ${sized(-level)}` : `stock ${sized(level)}`;
  return `${clockText(theta)} o'clock, ${sized(-hit.at[2], META.unit.digits - 1)} deep: ${what} per side${layer}`;
}
function readout(event) {
  const box = canvas.getBoundingClientRect();
  $("readout").textContent = readoutAt(event.clientX - box.left, event.clientY - box.top);
}

function standIn(why) {
  $("reason").textContent = why;
  $("reason").hidden = false;
}
function start() {
  try { painter = webgl(); } catch (fault) { console.error(fault); painter = null; }
  if (painter) return "3d";
  const fresh = canvas.cloneNode(); // a canvas that once gave WebGL gives nothing else
  canvas.replaceWith(fresh);
  canvas = fresh;
  painter = plain();
  if (!painter) { standIn("This browser draws no pictures here; use the 2-D views below."); return "none"; }
  standIn("This browser gives no WebGL 2, so a plain drawing stands in for the 3-D view: coarser, with the same colours.");
  return "still";
}

(async () => {
  try {
    dress();
    await unpack();
  } catch (fault) {
    standIn(`The 3-D view cannot be opened in this browser (${fault.message}); use the 2-D views below.`);
    document.documentElement.dataset.ready = "none";
    return;
  }
  for (let k = 0; k < (BEFORE + 1) * N * M; k++) widest = Math.max(widest, RADIUS - stock[k] * STEP);
  resetView();
  recall();
  const how = start();
  controls();
  pointers();
  new ResizeObserver(resize).observe($("picture"));
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => { dress(); refresh({ words: true }); });
  canvas.addEventListener("webglcontextlost", (event) => { event.preventDefault(); standIn("The graphics card was taken away; the view comes back when it does."); });
  canvas.addEventListener("webglcontextrestored", () => { painter = webgl(); $("reason").hidden = true; refresh(); });
  say();
  legend();
  resize();
  Object.assign(view, {
    state, act, how, sample: (x, y) => painter.sample(x, y), field: fieldOf, stock: () => stock, judged: () => judged,
    readout: readoutAt, project: (theta, depth, level) => project(pointAt(theta, depth, level)), size: () => size,
    seen: (theta, depth, level) => seen(pointAt(theta, depth, level)),
  });
  for (const go of whenReady) go();
  frame();
  view.readyMs = performance.now() - began;
  document.documentElement.dataset.ready = how;
})();
