/* The bore as the browser draws it, first part: the numbers of `view_page.py`, what the person has set, the eye.

   The parts `view_numbers.js`, `view_marks.js`, `view_draw.js` and `view.js` are joined in this order inside one
   function. They ask no host for anything.

   World [mm]: x to 3 o'clock, y to 12 o'clock, z against the depth. The wall is built in the graphics card from the
   map of stock per side: a point lies on its clock ray where its distance from the finish axis is the finish radius
   less the stock. Without WebGL 2 the same scene is drawn ray by ray on a plain canvas. */
const $ = (id) => document.getElementById(id);
const META = JSON.parse($("meta").textContent), LOOK = JSON.parse($("look").textContent);
const TURN = 2 * Math.PI, [STAGES, N, M] = META.shape, LAST = STAGES - 1;
const { length: LENGTH, radius: RADIUS, torch: TORCH, finish: FINISH, before: BEFORE, layers: LAYER, step: STEP } = META;
const TOPS = { ...META.tops, ...LOOK.tops }, LEVELS = 5, FIELD_OF_VIEW = 0.5;
const began = performance.now();
let canvas = $("scene");
let stock, judged, furniture, painter, dirty = false, size = [1, 1], matrix, eye;

// ---- numbers ------------------------------------------------------------------------------------------------

const depthOf = Float32Array.from([0, ...META.edges.slice(1).map((e, k) => (e + META.edges[k]) / 2), LENGTH]);
const modulo = (a, n) => ((a % n) + n) % n;
const clockIndex = (theta) => modulo(Math.floor((theta / TURN) * N), N);

let part; // bytes of part k of what the page carries
const whenReady = []; // what a page built on this one does once everything is in place
let torch = null; // where the torch stands, on a page that has one: { theta, depth, on, playing }

async function unpack() {
  const raw = Uint8Array.from(atob($("maps").textContent), (c) => c.charCodeAt(0));
  const stream = new Blob([raw]).stream().pipeThrough(new DecompressionStream("deflate"));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  part = (k) => bytes.subarray(META.places[k][0], META.places[k][0] + META.places[k][1]);
  const folded = part(0), n = STAGES * N * M;
  stock = new Int16Array(n);
  for (let k = 0; k < n; k++) {
    const f = folded[k] | (folded[n + k] << 8);
    stock[k] = ((f >>> 1) ^ -(f & 1)) + (Math.floor(k / M) % N ? stock[k - M] : 0);
  }
  const bits = part(1);
  judged = Uint8Array.from({ length: N * M }, (_, k) => (bits[k >> 3] >> (7 - (k & 7))) & 1);
  furniture = {};
  (META.furniture || []).forEach((item, k) => {
    const points = part(2 + 2 * k), joined = part(3 + 2 * k);
    furniture[item.name] = {
      each: item.each,
      points: new Float32Array(points.slice().buffer),
      joined: new Uint32Array(joined.slice().buffer),
    };
  });
}

const thickness = (s, k) => (s ? stock[s * N * M + k] - stock[(s - 1) * N * M + k] : 0);

/* The numbers a colouring shows, of all stages or of one. */
function fieldOf(mode, first = 0, last = LAST) {
  const out = new Int16Array((last - first + 1) * N * M);
  for (let s = first; s <= last; s++) {
    const at = s * N * M, to = (s - first) * N * M, w = META.windows[s];
    for (let k = 0; k < N * M; k++) {
      if (mode === "thickness") out[to + k] = thickness(s, k);
      else if (mode === "layer") {
        let inner = stock[at + k];
        for (let e = s; e > BEFORE && !out[to + k]; e--) {
          const outer = Math.min(inner, stock[(e - 1) * N * M + k]);
          if ((inner - outer) * STEP > META.laid) out[to + k] = LAYER[e];
          inner = outer;
        }
      } else if (mode === "ripple") {
        const j = k % M, row = at + k - j;
        let high = -32768;
        for (let i = Math.max(0, j - w); i <= Math.min(M - 1, j + w); i++) high = Math.max(high, stock[row + i]);
        out[to + k] = high - stock[at + k];
      } else if (mode === "often") out[to + k] = oftenAt(k);
      else out[to + k] = stock[at + k];
    }
  }
  return out;
}

/* How often a cell stays black, in thousandths. */
function oftenAt(k) {
  const [n, m] = often.shape, i = Math.floor((((k / M) | 0) / N) * n), depth = depthOf[(k % M) + 1];
  return Math.round(1000 * (often.share[i * m + Math.min(m - 1, Math.floor((depth / LENGTH) * m))] || 0));
}

/* A map at half the size; what is merged is joined by `how`, so that a minimum is never lost. */
function halved(map, m, n, how) {
  const stages = map.length / (m * n), m2 = Math.max(1, m >> 1), n2 = Math.max(1, n >> 1), out = new Int16Array(stages * m2 * n2);
  for (let s = 0; s < stages; s++)
    for (let i = 0; i < n2; i++)
      for (let j = 0; j < m2; j++) {
        const at = s * m * n + 2 * i * m + 2 * j, wide = j === m2 - 1 ? m - 2 * j : 2;
        let value = map[at];
        if (how === "least")
          for (let k = 0; k < wide; k++) value = Math.min(value, map[at + k], map[at + m + k]);
        else if (how === "mean") value = (map[at] + map[at + 1] + map[at + m] + map[at + m + 1]) / 4;
        out[s * m2 * n2 + i * m2 + j] = value;
      }
  return out;
}

/* The levels the wall is built with: a pit narrower than three cells is drawn no deeper than half a cell, or its
   own sides would hide its colour from an eye that looks along the bore. */
function shape(levels) {
  const stages = levels.length / (N * M), wide = new Int16Array(levels.length), out = new Int16Array(levels.length), row = new Int16Array(M + 2);
  const most = Math.max(1, Math.round((0.5 * LENGTH) / M / STEP));
  for (const [from, to, sign] of [[levels, wide, 1], [wide, out, -1]])
    for (let s = 0; s < stages; s++)
      for (let i = 0; i < N; i++) {
        const before = (s * N + ((i + N - 1) % N)) * M, here = (s * N + i) * M, after = (s * N + ((i + 1) % N)) * M;
        for (let j = 0; j < M; j++) {
          const a = sign * from[before + j], b = sign * from[here + j], c = sign * from[after + j], d = a > b ? a : b;
          row[j + 1] = d > c ? d : c;
        }
        row[0] = row[1];
        row[M + 1] = row[M];
        for (let j = 0; j < M; j++) {
          const a = row[j], b = row[j + 1], c = row[j + 2], d = a > b ? a : b;
          to[here + j] = sign * (d > c ? d : c);
        }
      }
  for (let k = 0; k < out.length; k++) if (out[k] - most > levels[k]) out[k] -= most; else out[k] = levels[k];
  return out;
}

const levelAt = (s, theta, depth) => {
  let low = 0, high = M;
  while (high - low > 1) {
    const middle = (low + high) >> 1;
    if (META.edges[middle] <= depth) low = middle;
    else high = middle;
  }
  return [s * N * M + clockIndex(theta) * M + low, clockIndex(theta) * M + low];
};

/* The wall at a clock ray and depth whose stock is `level` [mm]; heights are drawn from the finish surface. */
function pointAt(theta, depth, level) {
  const u = [Math.sin(theta), Math.cos(theta)];
  const f = [FINISH[0] + FINISH[2] * depth, FINISH[1] + FINISH[3] * depth];
  const o = [TORCH[0] + TORCH[2] * depth - f[0], TORCH[1] + TORCH[3] * depth - f[1]];
  const d = RADIUS - level, along = o[0] * u[0] + o[1] * u[1];
  const r = Math.sqrt(along * along - o[0] * o[0] - o[1] * o[1] + d * d) - along;
  const grown = (RADIUS - heights() * level) / d;
  return [f[0] + (o[0] + r * u[0]) * grown, f[1] + (o[1] + r * u[1]) * grown, -depth];
}

const outward = (theta, r, depth) => [r * Math.sin(theta), r * Math.cos(theta), -depth];
const dot = (a, b) => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const cross = (a, b) => [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]];
const plus = (a, b, k = 1) => [a[0] + k * b[0], a[1] + k * b[1], a[2] + k * b[2]];
const unit = (a) => { const n = Math.hypot(...a) || 1; return [a[0] / n, a[1] / n, a[2] / n]; };
const layerColour = (s) => META.colours.layers[(LAYER[s] + META.colours.layers.length - 1) % META.colours.layers.length];
const hex = (c) => [1, 3, 5].map((k) => parseInt(c.slice(k, k + 2), 16) / 255);

// ---- state --------------------------------------------------------------------------------------------------

const state = { stage: LAST, colour: LOOK.colour_by, open: 130, at: 90, finish: true, spots: true, heights: false };
const heights = () => (state.heights ? 4 : 1);
const opening = () => (state.open / 360) * TURN, cutAt = () => (state.at / 360) * TURN;
let widest = RADIUS;
const body = () => Math.max(META.body, RADIUS + heights() * (widest - RADIUS) + 4);

const UP = META.down.map((v) => -v);
const AHEAD = (() => {
  const flat = plus([0, 0, -1], UP, UP[2]);
  return unit(Math.hypot(...flat) > 0.2 ? flat : plus([0, 1, 0], UP, -UP[1]));
})();
const RIGHT = cross(AHEAD, UP);

function lookFrom(direction) {
  const d = unit(direction);
  state.up = Math.asin(Math.max(-1, Math.min(1, dot(d, UP))));
  state.round = Math.atan2(dot(d, RIGHT), -dot(d, AHEAD));
}

const facing = () => {
  const c = Math.cos(state.up);
  return plus(plus(plus([0, 0, 0], AHEAD, -c * Math.cos(state.round)), RIGHT, c * Math.sin(state.round)), UP, Math.sin(state.up));
};

/* The eye stands before the entry face, on the side from which the worst place is seen through the cut. */
function resetView() {
  lookFrom(META.home.from);
  Object.assign(state, { away: 1, shift: [0, 0, 0], open: META.home.open, at: META.home.at });
}
function goToWorst() {
  const [clock, depth] = META.worst;
  lookFrom(plus(outward(clock + Math.PI, 1, 0), [0, 0, 1], 0.35));
  Object.assign(state, { stage: LAST, away: 0.62, open: Math.max(state.open, 150) });
  state.shift = [0, 0, LENGTH / 2 - depth].map((v) => 0.85 * v);
  state.at = modulo(Math.round(((clock + Math.PI) / TURN) * 72) * 5, 360);
}

/* What the person set is kept in the window's own store, so that a new export of the job opens the same way. */
const STORE = `bore-view/${LOOK.keep}`;
function keep() {
  const told = { ...state, label: META.stages[state.stage], last: state.stage === LAST };
  try { sessionStorage.setItem(STORE, JSON.stringify({ state: told, look: LOOK })); } catch { /* no store: open afresh */ }
}
function recall() {
  let kept;
  try { kept = JSON.parse(sessionStorage.getItem(STORE)); } catch { kept = null; }
  if (kept) {
    const { label, last, ...rest } = kept.state;
    Object.assign(state, rest);
    const found = META.stages.indexOf(label);
    state.stage = last || found < 0 ? LAST : found;
  }
  if (!kept || kept.look.colour_by !== LOOK.colour_by || !META.meanings[state.colour]) state.colour = LOOK.colour_by;
  if (LOOK.stage !== null && (!kept || kept.look.stage !== LOOK.stage)) state.stage = Math.min(LOOK.stage, LAST);
}

// ---- the eye ------------------------------------------------------------------------------------------------

/* How far off [mm] the eye takes in the whole bore with its marks, seen as the view is reset to, and how far [mm]
   the middle of all that lies above the middle of the bore. */
function fit(half, aspect) {
  const d = META.home.from, side = unit(cross(UP, d)), above = cross(d, side), all = [];
  for (const z of [-0.03, 1.03])
    for (let k = 0; k < 24; k++) all.push(plus(outward((k / 24) * TURN, 1.2 * META.body, z * LENGTH), [0, 0, LENGTH / 2]));
  all.push(plus(plus(arrowTip(), [0, 0, LENGTH / 2]), META.down, 0.06 * META.body));
  const heights = all.map((p) => dot(p, above)), raised = (Math.min(...heights) + Math.max(...heights)) / 2;
  const needed = (p) => dot(p, d) + Math.max(Math.abs(dot(p, side)) / (0.94 * half * aspect), Math.abs(dot(p, above) - raised) / (0.92 * half));
  return [Math.max(...all.map(needed)), raised];
}

function camera() {
  const reach = Math.hypot(1.22 * META.body, 0.52 * LENGTH), aspect = size[0] / size[1];
  const half = Math.tan(FIELD_OF_VIEW / 2), [whole, raised] = fit(half, aspect);
  const distance = whole * state.away, d = facing(), target = plus(plus([0, 0, -LENGTH / 2], state.shift), UP, raised);
  eye = plus(target, d, distance);
  const side = unit(cross(UP, d)), above = cross(d, side);
  const near = Math.max(distance - 2.2 * reach, distance * 0.02), far = distance + 2.2 * reach;
  const fx = 1 / (half * aspect), fy = 1 / half, a = -(far + near) / (far - near), b = (-2 * far * near) / (far - near);
  const row = (v) => [v[0], v[1], v[2], -dot(v, eye)];
  const X = row(side), Y = row(above), Z = row(d);
  matrix = new Float32Array(16);
  for (let c = 0; c < 4; c++) {
    matrix[4 * c] = fx * X[c];
    matrix[4 * c + 1] = fy * Y[c];
    matrix[4 * c + 2] = a * Z[c] + (c === 3 ? b : 0);
    matrix[4 * c + 3] = -Z[c];
  }
  return { side, above, d, half, aspect, reach, distance };
}

function project(p) {
  const at = (r) => matrix[r] * p[0] + matrix[4 + r] * p[1] + matrix[8 + r] * p[2] + matrix[12 + r], w = at(3);
  return [(0.5 + (0.5 * at(0)) / w) * size[0], (0.5 - (0.5 * at(1)) / w) * size[1], at(2) / w];
}

/* Why a point is no metal: past a face, outside the part, in the cut, in the hole; or false. */
function emptyBecause(p) {
  const depth = -p[2], rho = Math.hypot(p[0], p[1]);
  if (depth < 0 || depth > LENGTH) return "face";
  if (rho > body()) return "outside";
  const theta = Math.atan2(p[0], p[1]);
  if (modulo(theta - cutAt() + opening() / 2, TURN) < opening()) return "cut";
  const d = Math.hypot(p[0] - FINISH[0] - FINISH[2] * depth, p[1] - FINISH[1] - FINISH[3] * depth);
  const level = (stock[levelAt(state.stage, theta, depth)[0]] + 0.5) * STEP;
  return d < RADIUS - heights() * level ? "hole" : false;
}

/* First metal along a ray from `from`: the point and what was there before it, or null. */
function firstMetal(from, direction, length, step = 0.8) {
  let why = emptyBecause(from);
  if (!why) return { at: from, why: "inside" };
  for (let t = step; t <= length; t += step) {
    const now = emptyBecause(plus(from, direction, t));
    if (now) { why = now; continue; }
    let low = t - step, high = t;
    for (let k = 0; k < 9; k++) {
      const middle = 0.5 * (low + high), still = emptyBecause(plus(from, direction, middle));
      if (still) { low = middle; why = still; } else high = middle;
    }
    return { at: plus(from, direction, high), why };
  }
  return null;
}

function rayAt(x, y) {
  const { side, above, d, half, aspect, reach, distance } = camera();
  const px = (2 * x) / size[0] - 1, py = 1 - (2 * y) / size[1];
  const ray = unit(plus(plus(plus([0, 0, 0], d, -1), side, px * half * aspect), above, py * half));
  const start = Math.max(0, distance - 1.3 * reach - Math.hypot(...state.shift));
  return [plus(eye, ray, start), ray, 2.6 * reach + 2 * Math.hypot(...state.shift)];
}

function seen(p) {
  const ray = unit(plus(eye, p, -1));
  return !firstMetal(plus(p, ray, 1.5), ray, 2.4 * body() + 10, 0.6);
}
