/* Second part: words and marks. Caption and legend, clock and depth, names of low spots, lines that follow the cut. */
// ---- words --------------------------------------------------------------------------------------------------

const number = (mm, digits = META.unit.digits) => (mm / META.unit.each).toFixed(digits);
const sized = (mm, digits) => `${number(mm, digits)} ${META.unit.label}`;
const deep = (mm) => sized(mm, META.unit.digits - 2);
const clockText = (theta) => {
  const minutes = Math.round((modulo(theta, TURN) / TURN) * 720) % 720;
  return `${Math.floor(minutes / 60) || 12}:${String(minutes % 60).padStart(2, "0")}`;
};
const meaning = () =>
  (state.colour === "often" ? often.said : META.meanings[state.colour]) +
  (state.colour === "stock" ? `, finish ${sized(2 * RADIUS, META.unit.digits + 1)} on diameter` : "");
const title = () => (kept ? "After the finish cut" : META.said[state.stage]) + (state.heights ? ", heights drawn 4 times" : "");

function element(tag, className, text) {
  const made = document.createElement(tag);
  if (className) made.className = className;
  if (text !== undefined) made.textContent = text;
  return made;
}

function say() {
  $("caption").replaceChildren(title(), element("small", "", meaning()));
  if ($("stage")) $("stage-said").textContent = META.stages[state.stage];
  $("open-said").textContent = `${state.open}\u00b0`;
  $("at-said").textContent = clockText(cutAt());
  for (const id of ["stage", "open", "at"].filter($)) $(id).setAttribute("aria-valuetext", $(`${id}-said`).textContent);
  canvas.setAttribute("aria-label", `3-D view of the bore: ${title()}, ${meaning()}`);
  for (const id of ["stage", "colour", "open", "at"].filter($)) $(id).value = state[id];
  for (const id of ["finish", "spots", "heights"].filter($)) $(id).checked = state[id];
}

function swatch(background, text) {
  const made = element("span", "swatch"), patch = element("i");
  patch.style.background = background;
  made.append(patch, text);
  return made;
}

function legend() {
  const { colours } = META, parts = [];
  const hatch = `repeating-linear-gradient(45deg, ${colours.black} 0 3px, ${colours.edge} 3px 4.5px)`;
  if (state.colour === "layer") {
    parts.push(swatch(surface.metal, "base metal"));
    for (let k = 1; k <= Math.max(...LAYER) && k <= 12; k++) parts.push(swatch(colours.layers[(k - 1) % colours.layers.length], `layer ${k}`));
  } else {
    const top = TOPS[state.colour], scale = element("span", "scale"), bar = element("span", "bar"), ticks = element("span", "ticks");
    const stops = colours[state.colour].map(([share, c]) => `${c} ${100 * share}%`);
    bar.style.background = `linear-gradient(90deg, ${stops.join(",")})`;
    for (const share of [0, 0.5, 1]) {
      const tick = element("span", "", state.colour === "often" ? `${Math.round(100 * share)}${share === 1 ? " of 100" : ""}` : share === 1 ? `${sized(top)}` : number(share * top));
      tick.style.left = `${100 * share}%`;
      ticks.append(tick);
    }
    scale.append(bar, ticks);
    parts.push(scale);
  }
  if (state.colour === "stock") parts.push(swatch(hatch, META.black));
  else if (META.marks.length && state.spots && state.stage === LAST) parts.push(swatch(`linear-gradient(${colours.edge} 0 0) 50%/100% 2px no-repeat`, "edge of a low spot"));
  if (judged.includes(0)) parts.push(swatch(`radial-gradient(${colours.light.quiet} 28%, ${colours.notJudged} 32%) 0 0/5px 5px`, "not judged"));
  parts.push(swatch(colours.finish, "finish"));
  $("legend").replaceChildren(...parts);
}

let surface = META.colours.light;
function dress() {
  const auto = matchMedia("(prefers-color-scheme: dark)").matches ? "dark" : "light";
  const theme = LOOK.theme === "auto" ? auto : LOOK.theme;
  document.documentElement.dataset.theme = theme;
  surface = META.colours[theme];
}

// ---- what is drawn besides the wall -------------------------------------------------------------------------

const metalFrom = () => cutAt() + opening() / 2;
const cutEdges = () => (state.open ? [metalFrom(), cutAt() - opening() / 2] : []);
function tickStep(length, most) {
  const each = META.unit.each;
  for (const s of [0.25, 0.5, 1, 2, 5, 10, 20, 50, 100, 200, 500]) if (length / each / s <= most) return s * each;
  return length;
}

function rulerAngle() {
  const edges = state.open ? cutEdges() : [cutAt()];
  const low = (theta) => project(outward(theta, body(), LENGTH / 2))[1];
  return edges.length > 1 && low(edges[1]) > low(edges[0]) ? edges[1] : edges[0];
}

/* Segments [x y z x y z ...] of the lines that follow the cut: finish lines and depth scale. */
function movingLines() {
  const ink = [], finish = [], radius = body();
  for (const theta of cutEdges()) finish.push(...pointAt(theta, 0, 0), ...pointAt(theta, LENGTH, 0));
  const theta = rulerAngle(), step = tickStep(LENGTH, 12);
  ink.push(...outward(theta, radius, 0), ...outward(theta, radius, LENGTH));
  for (let z = 0; z <= LENGTH + 1e-6; z += step) ink.push(...outward(theta, radius, z), ...outward(theta, 1.035 * radius, z));
  return { ink: new Float32Array(ink), finish: new Float32Array(finish), torch: new Float32Array(torch ? torchLines() : []), place: new Float32Array(place ? placeLines() : []) };
}

/* The torch: a hand from its axis to the wall, and a mark at its depth on the scale outside. */
function torchLines() {
  const { theta, depth } = torch, mark = rulerAngle();
  const axis = [TORCH[0] + TORCH[2] * depth, TORCH[1] + TORCH[3] * depth, -depth];
  const level = (stock[levelAt(state.stage, theta, depth)[0]] + 0.5) * STEP;
  return [...axis, ...pointAt(theta, depth, level), ...outward(mark, body(), depth), ...outward(mark, 1.06 * body(), depth)];
}

const pool = [];
let used = 0, taken = [];
function label(className, text) {
  const node = pool[used] || $("labels").appendChild((pool[used] = element("span")));
  used++;
  node.className = className;
  if (node.textContent !== text) node.textContent = text;
  return node;
}

const rule = document.createElement("canvas").getContext("2d"), widths = new Map();
function widthOf(text, className) {
  const name = `${className}/${text}`;
  if (!widths.has(name)) {
    rule.font = `${className.startsWith("clock") ? "700 14px" : "12px"} ${getComputedStyle(document.body).fontFamily}`;
    widths.set(name, Math.ceil(rule.measureText(text).width) + 10);
  }
  return widths.get(name);
}

/* Words at a point, shifted by parts of their own size; kept inside the picture, left out where they would hide
   words already there. */
function word(className, text, p, [dx, dy] = [-0.5, -0.5]) {
  const at = project(p), w = widthOf(text, className), h = 19;
  const x = Math.max(2, Math.min(size[0] - w - 2, at[0] + dx * w)), y = at[1] + dy * h;
  if (at[2] > 1 || at[0] < -w || at[0] > size[0] + w || y < 0 || y > size[1] - h) return false;
  if (taken.some((o) => x < o[2] && x + w > o[0] && y < o[3] && y + h > o[1])) return false;
  taken.push([x, y, x + w, y + h]);
  label(className, text).style.transform = `translate(${x.toFixed(1)}px, ${y.toFixed(1)}px)`;
  pool[used - 1].style.width = `${w}px`;
  return true;
}

function labels() {
  const radius = body(), towards = facing()[2], far = [];
  const turn = $("turn").getBoundingClientRect(), box = $("picture").getBoundingClientRect();
  taken = [[turn.left - box.left, turn.top - box.top, turn.right - box.left, turn.bottom - box.top]];
  used = 0;
  if (state.spots && state.stage === LAST) spotLabels();
  for (const [z, near] of [[0, towards > 0], [LENGTH, towards < 0]]) {
    const name = [near ? "face" : "face far", z ? "far face" : "entry face", outward(-TURN / 8, 1.14 * radius, z), [-1, -0.5]];
    const marks = [12, 3, 6, 9].map((hour) => [near ? "clock" : "clock far", String(hour), outward((hour / 12) * TURN, 1.14 * radius, z)]);
    if (near) for (const mark of marks) word(...mark);
    else far.push(...marks.filter((mark) => seen(mark[2])));
    if (near || seen(name[2])) far.unshift(name);
  }
  word("face", "down", arrowTip());
  for (const mark of far) word(...mark);
  const theta = rulerAngle(), ends = [0, LENGTH].map((z) => project(outward(theta, 1.1 * radius, z)));
  const step = tickStep(LENGTH, Math.max(2, Math.hypot(ends[1][0] - ends[0][0], ends[1][1] - ends[0][1]) / 34)), digits = step < META.unit.each && META.unit.each > 1 ? 2 : 0;
  for (let z = 0; z <= LENGTH + 1e-6; z += step) {
    const last = z + step > LENGTH + 1e-6, p = outward(theta, 1.1 * radius, z);
    if (seen(p)) word("depth", number(z, digits) + (last ? ` ${META.unit.label} deep` : ""), p, [last ? -0.2 : -0.5, -0.5]);
  }
  if (place) placeDot();
  while (pool.length > used) pool.pop().remove();
}

function placeDot() {
  const { theta, depth } = place, level = (stock[levelAt(state.stage, theta, depth)[0]] + 0.5) * STEP;
  if (!seen(pointAt(theta, depth, level + 1.5))) return;
  const at = project(pointAt(theta, depth, level));
  label("dot here", "").style.transform = `translate(${at[0].toFixed(1)}px, ${at[1].toFixed(1)}px)`;
  pool[used - 1].style.width = "";
}

const arrowTip = () => (arrowTip.found ||= (() => {
  const { points } = furniture.arrow, all = Array.from({ length: points.length / 3 }, (_, k) => [...points.subarray(3 * k, 3 * k + 3)]);
  return plus(all.reduce((a, b) => (dot(a, META.down) > dot(b, META.down) ? a : b)), META.down, 0.09 * META.body);
})());

function spotLabels() {
  let shown = 0;
  for (const mark of META.marks) {
    if (shown >= (size[0] < 500 ? 3 : 5)) break;
    const p = pointAt(mark.ray, mark.depth, mark.stock), at = project(p);
    if (!seen(pointAt(mark.ray, mark.depth, mark.stock + 1.5)) || !word("spot", size[0] < 500 ? mark.said.replace(" deep", "") : mark.said, p, [at[0] > 0.6 * size[0] ? -1.06 : 0.06, -0.5])) continue;
    label("dot", "").style.transform = `translate(${at[0].toFixed(1)}px, ${at[1].toFixed(1)}px)`;
    pool[used - 1].style.width = "";
    shown++;
  }
}
