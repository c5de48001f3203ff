/* The bore as the browser draws it. Reads the numbers of `view_page.py`; asks no host for anything.

   World [mm]: x to 3 o'clock, y to 12 o'clock, z against the depth. The wall is built in the graphics card from the
   map of stock per side: a point lies on its clock ray where its distance from the finish axis is the finish radius
   less the stock. Without WebGL 2 the same scene is drawn ray by ray on a plain canvas. */
"use strict";
(() => {
  const $ = (id) => document.getElementById(id);
  const META = JSON.parse($("meta").textContent), LOOK = JSON.parse($("look").textContent);
  const TURN = 2 * Math.PI, [STAGES, N, M] = META.shape, LAST = STAGES - 1;
  const { length: LENGTH, radius: RADIUS, torch: TORCH, finish: FINISH, before: BEFORE, step: STEP } = META;
  const TOPS = { ...META.tops, ...LOOK.tops }, LEVELS = 5, FIELD_OF_VIEW = 0.5;
  const began = performance.now();
  let canvas = $("scene");
  let stock, judged, furniture, painter, dirty = false, size = [1, 1], matrix, eye;

  // ---- numbers ------------------------------------------------------------------------------------------------

  const depthOf = Float32Array.from([0, ...META.edges.slice(1).map((e, k) => (e + META.edges[k]) / 2), LENGTH]);
  const modulo = (a, n) => ((a % n) + n) % n;
  const clockIndex = (theta) => modulo(Math.floor((theta / TURN) * N), N);

  async function unpack() {
    const raw = Uint8Array.from(atob($("maps").textContent), (c) => c.charCodeAt(0));
    const stream = new Blob([raw]).stream().pipeThrough(new DecompressionStream("deflate"));
    const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
    const part = (k) => bytes.subarray(META.places[k][0], META.places[k][0] + META.places[k][1]);
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

  function fieldOf(mode) {
    const out = new Int16Array(STAGES * N * M);
    for (let s = 0; s < STAGES; s++) {
      const at = s * N * M, w = META.windows[s];
      for (let k = 0; k < N * M; k++) {
        if (mode === "thickness") out[at + k] = thickness(s, k);
        else if (mode === "layer") {
          const laid = s > BEFORE && thickness(s, k) * STEP > META.laid;
          out[at + k] = laid ? s - BEFORE : s ? out[at - N * M + k] : 0;
        } else if (mode === "ripple") {
          const j = k % M, row = at + k - j;
          let high = -32768;
          for (let i = Math.max(0, j - w); i <= Math.min(M - 1, j + w); i++) high = Math.max(high, stock[row + i]);
          out[at + k] = high - stock[at + k];
        } else out[at + k] = stock[at + k];
      }
    }
    return out;
  }

  /* A map at half the size; what is merged is joined by `how`, so that a minimum is never lost. */
  function halved(map, m, n, how) {
    const m2 = Math.max(1, m >> 1), n2 = Math.max(1, n >> 1), out = new Int16Array(STAGES * m2 * n2);
    for (let s = 0; s < STAGES; s++)
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
  function shape() {
    const wide = new Int16Array(stock.length), out = new Int16Array(stock.length), row = new Int16Array(M + 2);
    const most = Math.max(1, Math.round((0.5 * LENGTH) / M / STEP));
    for (const [from, to, sign] of [[stock, wide, 1], [wide, out, -1]])
      for (let s = 0; s < STAGES; s++)
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
    for (let k = 0; k < out.length; k++) if (out[k] - most > stock[k]) out[k] -= most; else out[k] = stock[k];
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
    if (!kept || kept.look.colour_by !== LOOK.colour_by) state.colour = LOOK.colour_by;
    if (LOOK.stage !== null && (!kept || kept.look.stage !== LOOK.stage)) state.stage = Math.min(LOOK.stage, LAST);
  }

  // ---- words --------------------------------------------------------------------------------------------------

  const number = (mm, digits = META.unit.digits) => (mm / META.unit.each).toFixed(digits);
  const sized = (mm, digits) => `${number(mm, digits)} ${META.unit.label}`;
  const deep = (mm) => sized(mm, META.unit.digits - 2);
  const clockText = (theta) => {
    const minutes = Math.round((modulo(theta, TURN) / TURN) * 720) % 720;
    return `${Math.floor(minutes / 60) || 12}:${String(minutes % 60).padStart(2, "0")}`;
  };
  const meaning = () =>
    META.meanings[state.colour] +
    (state.colour === "stock" ? `, finish ${sized(2 * RADIUS, META.unit.digits + 1)} on diameter` : "");
  const title = () => META.said[state.stage] + (state.heights ? ", heights drawn 4 times" : "");

  function element(tag, className, text) {
    const made = document.createElement(tag);
    if (className) made.className = className;
    if (text !== undefined) made.textContent = text;
    return made;
  }

  function say() {
    $("caption").replaceChildren(title(), element("small", "", meaning()));
    $("stage-said").textContent = META.stages[state.stage];
    $("open-said").textContent = `${state.open}\u00b0`;
    $("at-said").textContent = clockText(cutAt());
    for (const id of ["stage", "open", "at"]) $(id).setAttribute("aria-valuetext", $(`${id}-said`).textContent);
    canvas.setAttribute("aria-label", `3-D view of the bore: ${title()}, ${meaning()}`);
    for (const id of ["stage", "colour", "open", "at"]) $(id).value = state[id];
    for (const id of ["finish", "spots", "heights"]) $(id).checked = state[id];
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
      for (let k = 1; k <= LAST - BEFORE && k <= 12; k++) parts.push(swatch(colours.layers[(k - 1) % colours.layers.length], `layer ${k}`));
    } else {
      const top = TOPS[state.colour], scale = element("span", "scale"), bar = element("span", "bar"), ticks = element("span", "ticks");
      const stops = colours[state.colour].map(([share, c]) => `${c} ${100 * share}%`);
      bar.style.background = `linear-gradient(90deg, ${stops.join(",")})`;
      for (const share of [0, 0.5, 1]) {
        const tick = element("span", "", share === 1 ? `${sized(top)}` : number(share * top));
        tick.style.left = `${100 * share}%`;
        ticks.append(tick);
      }
      scale.append(bar, ticks);
      parts.push(scale);
    }
    if (state.colour === "stock") parts.push(swatch(hatch, "stays black"));
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
    return { ink: new Float32Array(ink), finish: new Float32Array(finish) };
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
  function word(className, text, p, [dx, dy] = [-0.5, -0.5], always = false) {
    const at = project(p), w = widthOf(text, className), h = 19;
    const x = Math.max(2, Math.min(size[0] - w - 2, at[0] + dx * w)), y = at[1] + dy * h;
    if (at[2] > 1 || at[0] < -w || at[0] > size[0] + w || y < 0 || y > size[1] - h) return false;
    if (!always && taken.some((o) => x < o[2] && x + w > o[0] && y < o[3] && y + h > o[1])) return false;
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
    while (pool.length > used) pool.pop().remove();
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

  // ---- WebGL 2 ------------------------------------------------------------------------------------------------

  const METAL_VERTEX = `#version 300 es
    precision highp float; precision highp int; precision highp isampler2DArray;
    uniform mat4 uMatrix; uniform isampler2DArray uShape; uniform highp sampler2D uDepth;
    uniform ivec2 uCells; uniform float uStep, uRadius, uHeights, uBody, uFrom, uSweep, uEnd;
    uniform vec4 uTorch, uFinish; uniform int uKind, uFirst, uSecond, uCount;
    out vec3 vNormal; out vec2 vAt; out vec3 vPosition; out float vAcross;
    const float TURN = 6.283185307179586;
    float depthAt(float row) { return texelFetch(uDepth, ivec2(int(row), 0), 0).r; }
    float level(int stage, float theta, float row) {
      float c = theta / TURN * float(uCells.x) - 0.5, f = floor(c);
      int i = int(mod(f, float(uCells.x))), j = clamp(int(row) - 1, 0, uCells.y - 1);
      float a = float(texelFetch(uShape, ivec3(j, i, stage), 0).r);
      float b = float(texelFetch(uShape, ivec3(j, (i + 1) % uCells.x, stage), 0).r);
      return (mix(a, b, c - f) + 0.5) * uStep;
    }
    vec3 place(int stage, float theta, float row) {
      float z = depthAt(row);
      vec2 u = vec2(sin(theta), cos(theta));
      if (stage < 0) return vec3(uBody * u, -z);
      vec2 f = uFinish.xy + uFinish.zw * z, o = uTorch.xy + uTorch.zw * z - f;
      float s = level(stage, theta, row), d = uRadius - s, along = dot(o, u);
      float r = sqrt(along * along - dot(o, o) + d * d) - along;
      return vec3(f + (o + r * u) * (uRadius - uHeights * s) / d, -z);
    }
    void main() {
      int k = gl_VertexID >> 1, v = gl_VertexID & 1;
      float theta = uFrom + uSweep * float(k) / float(uCount), row = uEnd;
      int stage = v == 0 ? uFirst : uSecond;
      if (uKind == 0) row = float(gl_InstanceID + v);
      if (uKind == 2) { theta = uFrom; row = float(k); }
      if (uKind == 3) row = v == 0 ? 0.0 : float(uCells.y + 1);
      vec3 u = vec3(sin(theta), cos(theta), 0.0), t = vec3(u.y, -u.x, 0.0);
      vAcross = float(v);
      vPosition = place(stage, theta, row);
      vNormal = uKind == 1 ? vec3(0, 0, 1) : uKind == 2 ? t : u;
      if (uKind == 0) {
        float before = max(row - 1.0, 0.0), after = min(row + 1.0, float(uCells.y + 1)), e = TURN / float(uCells.x);
        float along = -uHeights * (level(stage, theta, after) - level(stage, theta, before)) / (depthAt(after) - depthAt(before));
        float round = -uHeights * (level(stage, theta + e, row) - level(stage, theta - e, row)) / (2.0 * e * uRadius);
        vNormal = normalize(-u + round * t - along * vec3(0, 0, 1));
      }
      vAt = vec2(row - 0.5, theta / TURN * float(uCells.x));
      gl_Position = uMatrix * vec4(vPosition, 1.0);
    }`;

  const METAL_FRAGMENT = `#version 300 es
    precision highp float; precision highp int; precision highp isampler2DArray; precision highp usampler2D;
    uniform isampler2DArray uStock, uField; uniform usampler2D uJudged; uniform sampler2D uRamp;
    uniform int uPaint, uStage, uNumbers, uBlackShown; uniform float uStep, uTop, uRadius, uHatch, uSpread;
    uniform vec3 uTint, uEye, uLight, uBlack, uEdge, uNot, uQuiet;
    in vec3 vNormal; in vec2 vAt; in vec3 vPosition; in float vAcross; out vec4 colour;
    ivec3 cell(vec2 at, int lod, int stage) {
      ivec2 size = textureSize(uStock, lod).xy, c = ivec2(floor(at / exp2(float(lod))));
      return ivec3(clamp(c.x, 0, size.x - 1), ((c.y % size.y) + size.y) % size.y, stage);
    }
    float field(vec2 at, int lod) { return float(texelFetch(uField, cell(at, lod, uStage), lod).r); }
    float smoothField(vec2 at) {
      vec2 p = at - 0.5, f = fract(p), o = floor(p) + 0.5;
      return mix(mix(field(o, 0), field(o + vec2(1, 0), 0), f.x), mix(field(o + vec2(0, 1), 0), field(o + 1.0, 0), f.x), f.y);
    }
    vec3 hatched(vec3 ground, vec3 line, float across, float share) {
      float t = abs(fract(across / uHatch) - 0.5) * uHatch, w = max(fwidth(across), 1e-6);
      return mix(ground, line, clamp(0.5 + (t - 0.5 * (1.0 - share) * uHatch) / w, 0.0, 1.0) * clamp(uHatch / w / 2.0, share, 1.0));
    }
    /* Least level under one pixel as it is shown, none of its cells left out: the map is read at the size of the
       pixel's short side, on both edges of it, and several times along the long one. */
    int leastUnder(vec2 at, vec2 a, vec2 b) {
      bool first = dot(a, a) > dot(b, b);
      vec2 along = first ? a : b, across = first ? b : a;
      int lod = int(clamp(ceil(log2(max(length(across), 1.0))), 0.0, 4.0)), least = 32767;
      int taps = int(clamp(ceil(length(along) / exp2(float(lod))) + 1.0, 2.0, 8.0));
      for (int k = 0; k < taps; k++) {
        vec2 p = at + along * (float(k) / float(taps - 1) - 0.5);
        least = min(least, texelFetch(uStock, cell(p - 0.5 * across, lod, uStage), lod).r);
        least = min(least, texelFetch(uStock, cell(p + 0.5 * across, lod, uStage), lod).r);
      }
      return least;
    }
    void main() {
      vec3 n = normalize(vNormal), towards = normalize(uEye - vPosition);
      if (dot(n, towards) < 0.0) n = -n;
      float shade = 0.6 + 0.4 * max(dot(n, uLight), 0.0);
      vec3 paint = uTint;
      float across = atan(vPosition.x, vPosition.y) * uRadius + vPosition.z;
      vec2 g = max(abs(dFdx(vAt)), abs(dFdy(vAt)));
      if (uPaint == 0) { colour = vec4(paint * shade, 1.0); return; }
      if (uPaint >= 2) {
        if (uPaint == 3) paint = hatched(paint, paint * 0.84, length(vPosition.xy) - vPosition.z, 0.14);
        float edge = min(vAcross, 1.0 - vAcross) / max(fwidth(vAcross), 1e-6);
        colour = vec4(mix(paint * 0.45, paint, clamp(edge - 0.2, 0.0, 1.0)) * (0.8 + 0.2 * shade), 1.0);
        return;
      }
      int lod = int(clamp(log2(max(max(g.x, g.y), 1.0)) + 0.5, 0.0, 3.0));
      if (uNumbers == 1) {
        int number = int(field(vAt, 0));
        if (number > 0) paint = texelFetch(uRamp, ivec2((number - 1) % textureSize(uRamp, 0).x, 0), 0).rgb;
      } else {
        float value = lod == 0 ? smoothField(vAt) : field(vAt, lod);
        paint = texture(uRamp, vec2((value + 0.5) * uStep / uTop * 255.0 / 256.0 + 0.5 / 256.0, 0.5)).rgb;
      }
      bool counted = texelFetch(uJudged, cell(vAt, 0, 0).xy, 0).r > 0u;
      vec3 lit = paint * shade;
      if (uBlackShown == 1 && counted && leastUnder(vAt, dFdx(vAt) * uSpread, dFdy(vAt) * uSpread) < 0)
        lit = hatched(uBlack, uEdge, across, 0.22) * (0.75 + 0.25 * shade);
      if (!counted) {
        vec2 p = gl_FragCoord.xy / 5.0;
        lit = mix(mix(lit, uNot * shade, 0.85), uQuiet, step(length(fract(p) - 0.5), 0.2) * 0.8);
      }
      colour = vec4(lit, 1.0);
    }`;

  const LINE_VERTEX = `#version 300 es
    precision highp float;
    layout(location = 0) in vec3 aFrom; layout(location = 1) in vec3 aTo;
    uniform mat4 uMatrix; uniform vec2 uSize; uniform float uWidth, uScale, uLift;
    void main() {
      vec4 a = uMatrix * vec4(aFrom * vec3(uScale, uScale, 1), 1), b = uMatrix * vec4(aTo * vec3(uScale, uScale, 1), 1);
      vec2 d = (b.xy / b.w - a.xy / a.w) * uSize;
      d = length(d) > 0.0 ? normalize(d) : vec2(1, 0);
      vec4 p = (gl_VertexID & 1) == 0 ? a : b;
      vec2 side = vec2(-d.y, d.x) * ((gl_VertexID & 2) == 0 ? 1.0 : -1.0);
      vec2 along = (gl_VertexID & 1) == 0 ? -d : d;
      p.xy += (side + 0.5 * along) * uWidth / uSize * p.w;
      p.z -= uLift * p.w;
      gl_Position = p;
    }`;
  const MESH_VERTEX = `#version 300 es
    precision highp float;
    layout(location = 0) in vec3 aPosition; uniform mat4 uMatrix; out vec3 vPosition;
    void main() { vPosition = aPosition; gl_Position = uMatrix * vec4(aPosition, 1.0); }`;
  const TINT_FRAGMENT = `#version 300 es
    precision highp float; uniform vec4 uColour; out vec4 colour;
    void main() { colour = vec4(uColour.rgb * uColour.a, uColour.a); }`;
  const MESH_FRAGMENT = `#version 300 es
    precision highp float; in vec3 vPosition; uniform vec4 uColour; uniform vec3 uEye; out vec4 colour;
    void main() {
      vec3 n = normalize(cross(dFdx(vPosition), dFdy(vPosition)));
      float flatness = abs(dot(n, normalize(uEye - vPosition)));
      float alpha = uColour.a < 1.0 ? uColour.a * (2.2 - 1.5 * flatness) : 1.0;
      colour = vec4(uColour.rgb * (0.75 + 0.25 * flatness) * alpha, alpha);
    }`;

  function webgl() {
    const gl = canvas.getContext("webgl2", { antialias: false, alpha: false, powerPreference: "low-power" });
    if (!gl) return null;

    function program(vertex, fragment) {
      const made = gl.createProgram();
      for (const [type, text] of [[gl.VERTEX_SHADER, vertex], [gl.FRAGMENT_SHADER, fragment]]) {
        const shader = gl.createShader(type);
        gl.shaderSource(shader, text);
        gl.compileShader(shader);
        gl.attachShader(made, shader);
        if (!gl.getShaderParameter(shader, gl.COMPILE_STATUS)) throw new Error(gl.getShaderInfoLog(shader) || "shader");
      }
      gl.linkProgram(made);
      if (!gl.getProgramParameter(made, gl.LINK_STATUS)) throw new Error(gl.getProgramInfoLog(made) || "program");
      const at = {};
      for (let k = 0; k < gl.getProgramParameter(made, gl.ACTIVE_UNIFORMS); k++) {
        const { name } = gl.getActiveUniform(made, k);
        at[name] = gl.getUniformLocation(made, name);
      }
      return { made, at };
    }

    const metal = program(METAL_VERTEX, METAL_FRAGMENT), line = program(LINE_VERTEX, TINT_FRAGMENT), mesh = program(MESH_VERTEX, MESH_FRAGMENT);
    const empty = gl.createVertexArray();

    function texture(unitNumber, target, upload) {
      const made = gl.createTexture();
      gl.activeTexture(gl.TEXTURE0 + unitNumber);
      gl.bindTexture(target, made);
      gl.texParameteri(target, gl.TEXTURE_MIN_FILTER, gl.NEAREST);
      gl.texParameteri(target, gl.TEXTURE_MAG_FILTER, gl.NEAREST);
      gl.texParameteri(target, gl.TEXTURE_WRAP_S, gl.CLAMP_TO_EDGE);
      gl.texParameteri(target, gl.TEXTURE_WRAP_T, gl.CLAMP_TO_EDGE);
      gl.pixelStorei(gl.UNPACK_ALIGNMENT, 1);
      upload();
      return made;
    }
    function mapTexture(unitNumber, map, how, levels = LEVELS) {
      return texture(unitNumber, gl.TEXTURE_2D_ARRAY, () => {
        gl.texParameteri(gl.TEXTURE_2D_ARRAY, gl.TEXTURE_MIN_FILTER, gl.NEAREST_MIPMAP_NEAREST);
        gl.texStorage3D(gl.TEXTURE_2D_ARRAY, levels, gl.R16I, M, N, STAGES);
        for (let l = 0, m = M, n = N; l < levels; l++) {
          gl.texSubImage3D(gl.TEXTURE_2D_ARRAY, l, 0, 0, 0, m, n, STAGES, gl.RED_INTEGER, gl.SHORT, map);
          if (l < levels - 1) [map, m, n] = [halved(map, m, n, how), Math.max(1, m >> 1), Math.max(1, n >> 1)];
        }
      });
    }

    mapTexture(0, stock, "least");
    mapTexture(5, shape(), "least", 1);
    texture(1, gl.TEXTURE_2D, () => gl.texImage2D(gl.TEXTURE_2D, 0, gl.R32F, M + 2, 1, 0, gl.RED, gl.FLOAT, depthOf));
    texture(2, gl.TEXTURE_2D, () => gl.texImage2D(gl.TEXTURE_2D, 0, gl.R8UI, M, N, 0, gl.RED_INTEGER, gl.UNSIGNED_BYTE, judged));
    const fields = {}, ramps = {};
    function choose(mode) {
      if (!fields[mode]) {
        fields[mode] = mapTexture(3, fieldOf(mode), mode === "layer" ? "first" : "mean");
        const stops = mode === "layer" ? META.colours.layers : rampOf(mode);
        const bytes = Uint8Array.from(stops.flatMap((c) => hex(c).map((v) => Math.round(255 * v))));
        ramps[mode] = texture(4, gl.TEXTURE_2D, () => {
          gl.texImage2D(gl.TEXTURE_2D, 0, gl.RGB8, stops.length, 1, 0, gl.RGB, gl.UNSIGNED_BYTE, bytes);
        });
      }
      gl.activeTexture(gl.TEXTURE3);
      gl.bindTexture(gl.TEXTURE_2D_ARRAY, fields[mode]);
      gl.activeTexture(gl.TEXTURE4);
      gl.bindTexture(gl.TEXTURE_2D, ramps[mode]);
    }

    function segments(item) {
      const out = new Float32Array(item.joined.length * 3);
      item.joined.forEach((k, i) => out.set(item.points.subarray(3 * k, 3 * k + 3), 3 * i));
      return out;
    }
    function lineSet(points) {
      const array = gl.createVertexArray(), buffer = gl.createBuffer();
      gl.bindVertexArray(array);
      gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
      for (const k of [0, 1]) {
        gl.enableVertexAttribArray(k);
        gl.vertexAttribPointer(k, 3, gl.FLOAT, false, 24, 12 * k);
        gl.vertexAttribDivisor(k, 1);
      }
      const set = { array, buffer, count: 0, fill(data) {
        gl.bindBuffer(gl.ARRAY_BUFFER, buffer);
        gl.bufferData(gl.ARRAY_BUFFER, data, gl.DYNAMIC_DRAW);
        set.count = data.length / 6;
      } };
      set.fill(points);
      return set;
    }
    function meshSet(item) {
      const array = gl.createVertexArray();
      gl.bindVertexArray(array);
      gl.bindBuffer(gl.ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ARRAY_BUFFER, item.points, gl.STATIC_DRAW);
      gl.enableVertexAttribArray(0);
      gl.vertexAttribPointer(0, 3, gl.FLOAT, false, 0, 0);
      gl.bindBuffer(gl.ELEMENT_ARRAY_BUFFER, gl.createBuffer());
      gl.bufferData(gl.ELEMENT_ARRAY_BUFFER, item.joined, gl.STATIC_DRAW);
      return { array, count: item.joined.length };
    }
    const sets = {};
    for (const [name, item] of Object.entries(furniture)) sets[name] = item.each === 2 ? lineSet(segments(item)) : meshSet(item);
    const moving = { ink: lineSet(new Float32Array(0)), finish: lineSet(new Float32Array(0)) };

    function drawMetal(kind, first, second, { tint = "#000000", paint = 0, count, from = metalFrom(), end = 0, instances = 1 }) {
      const { at } = metal;
      gl.uniform1i(at.uKind, kind);
      gl.uniform1i(at.uFirst, first);
      gl.uniform1i(at.uSecond, second);
      gl.uniform1i(at.uCount, count);
      gl.uniform1f(at.uFrom, from);
      gl.uniform1f(at.uEnd, end);
      gl.uniform1i(at.uPaint, paint);
      gl.uniform3fv(at.uTint, hex(tint));
      gl.drawArraysInstanced(gl.TRIANGLE_STRIP, 0, 2 * (count + 1), instances);
    }

    function drawWalls(light, each) {
      const hatch = 2 ** Math.round(Math.log2(11 * each));
      const { at } = metal, { colours } = META, sweep = TURN - opening(), around = Math.max(8, Math.ceil((128 * sweep) / TURN));
      gl.useProgram(metal.made);
      gl.bindVertexArray(empty);
      for (const [name, value] of [["uStock", 0], ["uShape", 5], ["uDepth", 1], ["uJudged", 2], ["uField", 3], ["uRamp", 4], ["uStage", state.stage]]) gl.uniform1i(at[name], value);
      gl.uniform1i(at.uNumbers, state.colour === "layer" ? 1 : 0);
      gl.uniform1i(at.uBlackShown, state.colour === "stock" ? 1 : 0);
      gl.uniform2i(at.uCells, N, M);
      for (const [name, value] of [["uStep", STEP], ["uRadius", RADIUS], ["uHeights", heights()], ["uBody", body()], ["uSweep", sweep], ["uTop", TOPS[state.colour] || 1], ["uHatch", hatch], ["uSpread", Math.max(1, canvas.width / size[0])]]) gl.uniform1f(at[name], value);
      gl.uniform4fv(at.uTorch, TORCH);
      gl.uniform4fv(at.uFinish, FINISH);
      gl.uniformMatrix4fv(at.uMatrix, false, matrix);
      gl.uniform3fv(at.uEye, eye);
      gl.uniform3fv(at.uLight, light);
      for (const [name, c] of [["uBlack", colours.black], ["uEdge", colours.edge], ["uNot", colours.notJudged], ["uQuiet", colours.light.quiet]]) gl.uniform3fv(at[name], hex(c));
      drawMetal(0, state.stage, state.stage, { tint: surface.metal, paint: 1, count: around, instances: M + 1 });
      drawMetal(3, -1, -1, { tint: surface.metal, count: around });
      const first = Math.min(BEFORE, state.stage);
      for (let s = first; s <= state.stage; s++) {
        const outer = s === first ? -1 : s - 1;
        const tint = s === first ? surface.metal : colours.layers[(s - first - 1) % colours.layers.length];
        const paint = s === first ? 3 : 2;
        for (const end of [0, M + 1]) drawMetal(1, outer, s, { tint, paint: 2, count: around, end });
        for (const from of cutEdges()) drawMetal(2, outer, s, { tint, paint, count: M + 1, from });
      }
    }

    function drawLines(set, colour, width, { scale = 1, lift = 4e-4 } = {}) {
      if (!set || !set.count) return;
      gl.useProgram(line.made);
      gl.bindVertexArray(set.array);
      gl.uniformMatrix4fv(line.at.uMatrix, false, matrix);
      gl.uniform2f(line.at.uSize, canvas.width, canvas.height);
      gl.uniform1f(line.at.uWidth, (width * canvas.width) / size[0]);
      gl.uniform1f(line.at.uScale, scale);
      gl.uniform1f(line.at.uLift, lift);
      gl.uniform4f(line.at.uColour, ...hex(colour), 1);
      gl.drawArraysInstanced(gl.TRIANGLE_STRIP, 0, 4, set.count);
    }
    function drawMesh(set, colour, alpha) {
      if (!set) return;
      gl.useProgram(mesh.made);
      gl.bindVertexArray(set.array);
      gl.uniformMatrix4fv(mesh.at.uMatrix, false, matrix);
      gl.uniform3fv(mesh.at.uEye, eye);
      gl.uniform4f(mesh.at.uColour, ...hex(colour), alpha);
      gl.drawElements(gl.TRIANGLES, set.count, gl.UNSIGNED_INT, 0);
    }

    function draw() {
      const { side, above, d, half, distance } = camera(), { colours } = META, each = (2 * half * distance) / size[1];
      gl.viewport(0, 0, canvas.width, canvas.height);
      gl.clearColor(...hex(surface.background), 1);
      gl.clear(gl.COLOR_BUFFER_BIT | gl.DEPTH_BUFFER_BIT);
      gl.enable(gl.DEPTH_TEST);
      choose(state.colour);
      drawWalls(unit(plus(plus(d, above, 0.55), side, -0.45)), each);
      const lines = movingLines();
      moving.ink.fill(lines.ink);
      moving.finish.fill(lines.finish);
      drawLines(moving.ink, "#2b2925", 1.1);
      drawLines(sets.ring, surface.faint, 1.3, { scale: body() / META.body });
      drawMesh(sets.arrow, surface.quiet, 1);
      if (state.spots && state.stage === LAST) drawLines(sets.low, colours.edge, Math.max(0.8, Math.min(1.6, 0.3 / each)), { lift: 1.2e-3 });
      if (state.finish) {
        drawLines(moving.finish, colours.finish, 2.4, { lift: 8e-4 });
        drawLines(sets.faces, colours.finish, 2.2, { lift: 8e-4 });
        gl.enable(gl.BLEND);
        gl.blendFunc(gl.ONE, gl.ONE_MINUS_SRC_ALPHA);
        gl.depthMask(false);
        drawMesh(sets.finish, colours.finish, 0.07);
        gl.depthMask(true);
        gl.disable(gl.BLEND);
      }
    }
    function sample(fx, fy) {
      draw();
      const pixel = new Uint8Array(4);
      gl.readPixels(Math.floor(fx * canvas.width), Math.floor((1 - fy) * canvas.height), 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
      return [...pixel];
    }
    const wait = () => gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    return { draw, sample, wait, sharp: 1.5 };
  }

  function rampOf(mode) {
    const stops = META.colours[mode];
    return Array.from({ length: 256 }, (_, k) => {
      const share = k / 255, i = Math.max(0, stops.findLastIndex(([at]) => at <= share)), [a, b] = [stops[i], stops[i + 1] || stops[i]];
      const part = b[0] > a[0] ? (share - a[0]) / (b[0] - a[0]) : 0, x = hex(a[1]), y = hex(b[1]);
      return "#" + x.map((v, c) => Math.round(255 * (v + part * (y[c] - v))).toString(16).padStart(2, "0")).join("");
    });
  }

  // ---- a plain canvas, ray by ray -----------------------------------------------------------------------------

  function plain() {
    const context = canvas.getContext("2d"), cache = {};
    if (!context) return null;
    const small = document.createElement("canvas");
    function paintAt(hit) {
      const p = hit.at, theta = Math.atan2(p[0], p[1]);
      if (hit.why !== "hole") return hex(hit.why === "cut" ? sectionColour(p, theta) : surface.metal);
      const [k, flat] = levelAt(state.stage, theta, -p[2]), mode = state.colour;
      cache[mode] ||= { field: fieldOf(mode), ramp: mode === "layer" ? META.colours.layers : rampOf(mode) };
      if (!judged[flat]) return hex(META.colours.notJudged);
      if (mode === "stock" && stock[k] < 0) return hex(modulo(theta * RADIUS + p[2], 4) < 1.1 ? META.colours.edge : META.colours.black);
      const value = cache[mode].field[k], { ramp } = cache[mode];
      if (mode === "layer") return hex(value > 0 ? ramp[(value - 1) % ramp.length] : surface.metal);
      return hex(ramp[Math.max(0, Math.min(255, Math.round((255 * value * STEP) / TOPS[mode])))]);
    }
    function sectionColour(p, theta) {
      const d = Math.hypot(p[0] - FINISH[0] + FINISH[2] * p[2], p[1] - FINISH[1] + FINISH[3] * p[2]);
      const first = Math.min(BEFORE, state.stage);
      for (let s = first; s <= state.stage; s++) {
        const level = (stock[levelAt(s, theta, -p[2])[0]] + 0.5) * STEP;
        if (d > RADIUS - heights() * level) return s === first ? surface.metal : META.colours.layers[(s - first - 1) % META.colours.layers.length];
      }
      return surface.metal;
    }
    function shadeOf(hit) {
      const u = unit([hit.at[0], hit.at[1], 0]), n = { face: [0, 0, 1], cut: [u[1], -u[0], 0] }[hit.why] || u;
      return 0.62 + 0.38 * Math.abs(dot(n, facing()));
    }
    function draw(part = 1) {
      const block = 2.5 / part, w = (small.width = Math.ceil(size[0] / block)), h = (small.height = Math.ceil(size[1] / block)), ground = hex(surface.background);
      const to = small.getContext("2d"), image = to.createImageData(w, h);
      for (let y = 0; y < h; y++)
        for (let x = 0; x < w; x++) {
          const hit = firstMetal(...rayAt(((x + 0.5) * size[0]) / w, ((y + 0.5) * size[1]) / h), 3);
          const paint = hit ? paintAt(hit).map((v) => v * shadeOf(hit)) : ground;
          image.data.set([...paint.map((v) => 255 * v), 255], 4 * (y * w + x));
        }
      to.putImageData(image, 0, 0);
      context.drawImage(small, 0, 0, canvas.width, canvas.height);
      const { points, joined } = furniture.arrow, corner = (k) => project([...points.subarray(3 * k, 3 * k + 3)]);
      context.fillStyle = surface.quiet;
      for (let k = 0; k < joined.length; k += 3) {
        context.beginPath();
        for (let c = 0; c < 3; c++) context.lineTo(...corner(joined[k + c]).slice(0, 2));
        context.fill();
      }
    }
    const sample = (fx, fy) => {
      draw();
      return [...context.getImageData(Math.floor(fx * canvas.width), Math.floor(fy * canvas.height), 1, 1).data];
    };
    return { draw, sample, wait: () => 0, sharp: 1 };
  }

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
    if (dirty) return;
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
    $("stage").max = LAST;
    for (const id of ["stage", "open", "at"]) $(id).addEventListener("input", () => { state[id] = Number($(id).value); refresh({ words: true }); });
    $("colour").addEventListener("input", () => { state.colour = $("colour").value; refresh({ words: true }); });
    for (const id of ["finish", "spots", "heights"]) $(id).addEventListener("input", () => { state[id] = $(id).checked; refresh({ words: true }); });
    $("more").addEventListener("click", () => $("more").setAttribute("aria-expanded", String($("more").ariaExpanded !== "true")));
    for (const id of ["reset", "worst"]) $(id).addEventListener("click", () => act(id));
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
    const level = (stock[k] + 0.5) * STEP, layer = state.stage > BEFORE ? ` \u00b7 layer ${sized(thickness(state.stage, flat) * STEP)} thick` : "";
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
    frame();
    view.readyMs = performance.now() - began;
    document.documentElement.dataset.ready = how;
  })();
})();
