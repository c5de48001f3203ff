/* Second part: the axial section and the end view, each on a plain canvas, from the same pieces as the wall in 3-D. */

const OFF_THE_END = 0.03; // how much of the length is drawn past either face
const panel = (id) => {
  const sheet = $(id), box = sheet.getBoundingClientRect(), sharp = Math.min(devicePixelRatio || 1, 2);
  const wide = Math.round(box.width * sharp), high = Math.round(box.height * sharp);
  if (sheet.width !== wide || sheet.height !== high) { sheet.width = wide; sheet.height = high; }
  const pen = sheet.getContext("2d");
  pen.setTransform(sharp, 0, 0, sharp, 0, 0);
  pen.clearRect(0, 0, box.width, box.height);
  pen.font = `12px ${getComputedStyle(document.body).fontFamily}`;
  pen.lineJoin = "round";
  return { pen, w: box.width, h: box.height };
};

/* Lowest and highest stock anywhere in the job, for scales that stand still while it grows. */
const range = () => (range.found ||= (() => {
  let low = 0, high = 0;
  for (let k = BEFORE * N * M; k < stock.length; k++) { low = Math.min(low, stock[k]); high = Math.max(high, stock[k]); }
  return [low * STEP, high * STEP + 1.0];
})());

const hatching = (pen) => {
  const tile = document.createElement("canvas"), { colours } = META;
  tile.width = tile.height = 8;
  const to = tile.getContext("2d");
  to.fillStyle = colours.black;
  to.fillRect(0, 0, 8, 8);
  to.strokeStyle = colours.edge;
  to.lineWidth = 1.6;
  for (const x of [-8, 0, 8]) { to.beginPath(); to.moveTo(x, 8); to.lineTo(x + 8, 0); to.stroke(); }
  return pen.createPattern(tile, "repeat");
};

/* Points [depth, stock] of a section, fine enough to draw. */
function profile(section, i) {
  const sin = Math.sin(GROWTH.clock[i]), cos = Math.cos(GROWTH.clock[i]), out = [];
  for (const piece of section) {
    const steps = piece.table.c[piece.row] ? 10 : 1;
    for (let k = 0; k <= steps; k++) {
      const z = piece.from + (k / steps) * (piece.to - piece.from);
      out.push([z, RADIUS - distanceAt(evaluate(piece, z), z, sin, cos)]);
    }
  }
  return out;
}

/* The bead of every pass of column i up to phi in layer l, as it was when laid. */
function beads(l, i, phi) {
  const layer = LAYERS[l], out = [];
  for (let k = 0; k < passesDone(layer, i, phi); k++) {
    const low = layer.table.begin[k * N + i], high = layer.table.begin[k * N + i + 1], section = [];
    for (let row = low; row < high; row++) section.push({ from: layer.table.from[row], to: layer.table.to[row], table: layer.table, row });
    if (section.length) out.push(profile(section, i));
  }
  return out;
}

function drawSection({ l, phi, i }) {
  const { pen, w, h } = panel("section"), [low, high] = range(), { colours } = META;
  const left = 10, right = w - 10, top = 20, bottom = h - 22, z0 = -OFF_THE_END * LENGTH, z1 = (1 + OFF_THE_END) * LENGTH;
  const x = (z) => left + ((z - z0) / (z1 - z0)) * (right - left), y = (s) => bottom - 8 - ((s - low) / (high - low)) * (bottom - 8 - top);
  const trace = (points) => points.forEach(([z, s]) => pen.lineTo(x(z), y(s)));
  const filled = (points, paint) => {
    pen.beginPath();
    trace(points);
    pen.lineTo(x(points[points.length - 1][0]), bottom);
    pen.lineTo(x(points[0][0]), bottom);
    pen.closePath();
    pen.fillStyle = paint;
    pen.fill();
  };
  const walls = LAYERS.slice(0, l + 1).map((_, e) => profile(sectionAt(e, i, e < l ? Infinity : phi), i));
  const base = LAYERS.slice(0, l + 1).map((layer, e) => (layer.base ? [e, profile(begun(layer, i), i)] : null)).filter(Boolean);
  pen.save();
  pen.beginPath();
  pen.rect(x(0), 0, x(LENGTH) - x(0), bottom);
  pen.clip();
  pen.fillStyle = hatching(pen);
  pen.fillRect(x(0), y(0), x(LENGTH) - x(0), bottom - y(0));
  pen.fillStyle = colours.notJudged;
  for (let j = 0; j < M; j++) if (!judged[i * M + j]) {
    const from = Math.floor(x(META.edges[j]));
    pen.fillRect(from, y(0), Math.ceil(x(META.edges[j + 1])) - from, bottom - y(0));
  }
  pen.beginPath();
  trace(walls[l]);
  pen.lineTo(x(z1), bottom);
  pen.lineTo(x(z0), bottom);
  pen.clip();
  for (let e = l; e >= 0; e--) {
    filled(walls[e], layerColour(LAYERS[e].stage));
    pen.lineWidth = 0.8;
    pen.strokeStyle = "rgba(255, 255, 255, 0.6)";
    for (const bead of beads(e, i, e < l ? Infinity : phi)) { pen.beginPath(); trace(bead); pen.stroke(); }
    const under = base.find(([number]) => number === e);
    if (under) filled(under[1], surface.metal);
  }
  pen.restore();
  pen.beginPath();
  trace(walls[l].filter(([z]) => z >= 0 && z <= LENGTH));
  pen.lineWidth = 1.4;
  pen.strokeStyle = surface.ink;
  pen.stroke();
  pen.beginPath();
  pen.moveTo(x(0), y(0));
  pen.lineTo(x(LENGTH), y(0));
  pen.lineWidth = 2;
  pen.strokeStyle = colours.finish;
  pen.stroke();
  marksOfSection(pen, { x, y, w, top, bottom, l, phi, i });
  const exact = (right - left) / (z1 - z0);
  $("scale-said").textContent = `heights drawn ${((bottom - 8 - top) / (high - low) / exact).toFixed(1)} times`;
}

/* Depth scale, faces, and the depth at which the torch stands, heavy while it passes this clock. */
function marksOfSection(pen, { x, w, top, bottom, l, phi, i }) {
  const step = tickStep(LENGTH, Math.max(2, w / 56)), layer = LAYERS[l], depth = depthAt(layer, phi);
  pen.fillStyle = pen.strokeStyle = surface.quiet;
  pen.lineWidth = 1;
  pen.textAlign = "center";
  pen.textBaseline = "top";
  for (let z = 0; z <= LENGTH + 1e-6; z += step) {
    pen.beginPath();
    pen.moveTo(x(z), bottom);
    pen.lineTo(x(z), bottom + 4);
    pen.stroke();
    pen.fillText(number(z, step < META.unit.each && META.unit.each > 1 ? 2 : 0), x(z), bottom + 6);
  }
  const away = Math.abs(modulo(clockAt(layer, phi) - GROWTH.clock[i] + Math.PI, TURN) - Math.PI), here = away < TURN / 40;
  const said = deep(depth), half = pen.measureText(said).width / 2 + 4, at = Math.max(half, Math.min(w - half, x(depth)));
  pen.fillStyle = pen.strokeStyle = surface.ink;
  pen.setLineDash(here ? [] : [3, 4]);
  pen.lineWidth = here ? 2.5 : 1;
  pen.beginPath();
  pen.moveTo(x(depth), 16);
  pen.lineTo(x(depth), here ? top + 10 : bottom);
  pen.stroke();
  pen.setLineDash([]);
  if (here) {
    pen.beginPath();
    pen.moveTo(x(depth) - 5, top + 6);
    pen.lineTo(x(depth) + 5, top + 6);
    pen.lineTo(x(depth), top + 16);
    pen.fill();
  }
  pen.fillText(said, at, 2);
}

/* The bore from the entry face, cut through at the depth of the torch; heights drawn larger. */
function drawDial({ l, phi, i }) {
  const { pen, w, h } = panel("dial"), layer = LAYERS[l], { colours } = META, [low, high] = range();
  const theta = clockAt(layer, phi), depth = depthAt(layer, phi), on = arcOn(layer, phi);
  const cx = w / 2, cy = h / 2, outer = Math.min(w, h) / 2 - 18, ring = 0.42 * outer, each = ring / (high - low), zero = outer - 4 + each * low;
  const at = (angle, r) => [cx + r * Math.sin(angle), cy - r * Math.cos(angle)];
  const circle = (r) => { pen.beginPath(); pen.arc(cx, cy, r, 0, TURN); };
  const inside = (s) => {
    pen.beginPath();
    const j = Math.min(M - 1, Math.max(0, levelAt(0, 0, depth)[1]));
    for (let k = 0; k < N; k++) pen.lineTo(...at(((k + 0.5) / N) * TURN, zero - each * (stock[(s * N + k) * M + j] + 0.5) * STEP));
    pen.closePath();
  };
  circle(outer);
  pen.fillStyle = surface.metal;
  pen.fill();
  for (let e = 0; e <= l; e++) {
    inside(LAYERS[e].stage - 1);
    pen.fillStyle = layerColour(LAYERS[e].stage);
    pen.fill();
  }
  pen.save();
  inside(layer.stage);
  pen.fillStyle = surface.background;
  pen.fill();
  pen.clip();
  pen.beginPath();
  pen.arc(cx, cy, outer, 0, TURN);
  pen.arc(cx, cy, zero, 0, TURN, true);
  pen.fillStyle = hatching(pen);
  pen.fill();
  pen.restore();
  circle(zero);
  pen.lineWidth = 2;
  pen.strokeStyle = colours.finish;
  pen.stroke();
  pen.fillStyle = pen.strokeStyle = surface.quiet;
  pen.textAlign = "center";
  pen.textBaseline = "middle";
  for (let hour = 1; hour <= 12; hour++) {
    const angle = (hour / 12) * TURN;
    pen.beginPath();
    pen.lineWidth = hour % 3 ? 1 : 2;
    pen.moveTo(...at(angle, outer));
    pen.lineTo(...at(angle, outer + 4));
    pen.stroke();
    if (hour % 3 === 0) pen.fillText(String(hour), ...at(angle, outer + 11));
  }
  pen.setLineDash([4, 3]);
  pen.lineWidth = 1.2;
  pen.beginPath();
  pen.moveTo(...at(GROWTH.clock[i], zero - ring));
  pen.lineTo(...at(GROWTH.clock[i], outer));
  pen.stroke();
  pen.setLineDash([]);
  const reach = zero - each * (levelUnder(layer, theta, depth) + 0.5) * STEP - 2;
  pen.fillStyle = pen.strokeStyle = surface.ink;
  pen.lineWidth = on ? 4 : 1.6;
  pen.beginPath();
  pen.moveTo(cx, cy);
  pen.lineTo(...at(theta, reach));
  pen.stroke();
  pen.beginPath();
  pen.arc(cx, cy, 4, 0, TURN);
  pen.fill();
  turningArrow(pen, cx, cy, 0.42 * reach, theta, layer.turning);
  if (Math.hypot(META.down[0], META.down[1]) > 0.5) gravityArrow(pen, cx, cy, 0.22 * outer);
}

const levelUnder = (layer, theta, depth) => stock[levelAt(layer.stage, theta, depth)[0]];

function turningArrow(pen, cx, cy, r, theta, turning) {
  const from = theta - Math.PI / 2 + 0.15 * turning, to = from + 0.7 * turning;
  pen.lineWidth = 1.8;
  pen.beginPath();
  pen.arc(cx, cy, r, from, to, turning < 0);
  pen.stroke();
  const x = cx + r * Math.cos(to), y = cy + r * Math.sin(to), along = to + (turning * Math.PI) / 2;
  pen.beginPath();
  for (const [reach, aside] of [[8, 0], [0, 4.5], [0, -4.5]])
    pen.lineTo(x + reach * Math.cos(along) - aside * Math.sin(along), y + reach * Math.sin(along) + aside * Math.cos(along));
  pen.fill();
}

function gravityArrow(pen, cx, cy, long) {
  const [dx, dy] = [META.down[0], -META.down[1]].map((v) => v / Math.hypot(META.down[0], META.down[1]));
  const tip = [cx + dx * long * 1.9, cy + dy * long * 1.9];
  pen.fillStyle = pen.strokeStyle = surface.quiet;
  pen.lineWidth = 1.4;
  pen.beginPath();
  pen.moveTo(cx + dx * long * 0.9, cy + dy * long * 0.9);
  pen.lineTo(...tip);
  pen.stroke();
  pen.beginPath();
  for (const [reach, aside] of [[6, 0], [-2, 3.5], [-2, -3.5]]) pen.lineTo(tip[0] + dx * reach - dy * aside, tip[1] + dy * reach + dx * aside);
  pen.fill();
  pen.fillText("down", tip[0] + dx * 14, tip[1] + dy * 14);
}
