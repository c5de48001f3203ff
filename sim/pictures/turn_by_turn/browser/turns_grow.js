/* The job as it grows, first part: sections held as parabola pieces, passes put into them, the map read from them.

   A section is a list of depths `from` and of the pieces that hold from there on; a pass takes out what stands between
   its first and its last depth and puts its own pieces there. Both are what the engine wrote down as it laid. */
const GROWTH = META.growth, LAYERS = GROWTH.layers;

/* Rows of pieces: from, to, and the parabola a + t (b + t c), t = depth - from. */
function unpackPieces({ part: k, rows, groups }) {
  const folded = part(k), n = 5 * rows, plain = new Float64Array(n);
  for (let field = 0; field < 5; field++)
    for (let row = 0, sum = 0; row < rows; row++) {
      const at = field * rows + row;
      const f = (folded[at] | (folded[n + at] << 8) | (folded[2 * n + at] << 16) | (folded[3 * n + at] << 24)) >>> 0;
      sum += (f >>> 1) ^ -(f & 1);
      plain[at] = sum * GROWTH.unit;
    }
  const [from, to, first, middle, end] = [0, 1, 2, 3, 4].map((field) => plain.subarray(field * rows, (field + 1) * rows));
  const made = { from, to, a: first, b: new Float64Array(rows), c: new Float64Array(rows), begin: new Uint32Array(groups * N + 1) };
  for (let row = 0; row < rows; row++) {
    const t = to[row] - from[row];
    if (!(t > 0)) continue;
    made.c[row] = (2 * (first[row] - 2 * middle[row] + end[row])) / (t * t);
    made.b[row] = (end[row] - first[row]) / t - made.c[row] * t;
  }
  const count = new Uint16Array(part(k + 1).slice().buffer);
  for (let g = 0; g < groups * N; g++) made.begin[g + 1] = made.begin[g] + count[g];
  return made;
}

// ---- the torch's way ----------------------------------------------------------------------------------------

const angleOf = (layer) => layer.phi[layer.phi.length - 1];
const clockAt = (layer, phi) => modulo(layer.start + layer.turning * phi, TURN);
function depthAt(layer, phi) {
  let k = 0;
  while (k < layer.phi.length - 2 && phi > layer.phi[k + 1]) k++;
  const share = (phi - layer.phi[k]) / (layer.phi[k + 1] - layer.phi[k]);
  return layer.depth[k] + Math.max(0, Math.min(1, share)) * (layer.depth[k + 1] - layer.depth[k]);
}
const arcOn = (layer, phi) => layer.arcs.some(([on, off]) => phi >= on && phi <= off);
const feeding = (layer, phi) => Math.abs(depthAt(layer, phi + 1e-4) - depthAt(layer, phi - 1e-4)) > 1e-9;
const firstPass = (layer, i) => modulo(layer.turning * (GROWTH.clock[i] - layer.start), TURN);
/* Passes of a column that are done when the torch has turned phi. */
const passesDone = (layer, i, phi) => Math.max(0, Math.min(layer.groups, Math.floor((phi - firstPass(layer, i)) / TURN + 1)));

// ---- sections -----------------------------------------------------------------------------------------------

const evaluate = ({ table, row }, z) => {
  const t = z - table.from[row];
  return table.a[row] + t * (table.b[row] + t * table.c[row]);
};

function begun(layer, i) {
  const table = layer.base, out = [];
  for (let row = table.begin[i]; row < table.begin[i + 1]; row++) out.push({ from: table.from[row], to: table.to[row], table, row });
  return out;
}

/* Put pass k of a layer into the section of column i; the depths it changed, or null where the arc was off. */
function lay(section, layer, k, i) {
  const table = layer.table, low = table.begin[k * N + i], high = table.begin[k * N + i + 1];
  if (low === high) return null;
  const za = table.from[low], zb = table.to[high - 1], put = [];
  let first = 0;
  while (first < section.length && section[first].to <= za) first++;
  let last = first;
  while (last < section.length && section[last].to <= zb) last++;
  if (first < section.length && section[first].from < za) put.push({ ...section[first], to: za });
  for (let row = low; row < high; row++) if (table.to[row] > table.from[row]) put.push({ from: table.from[row], to: table.to[row], table, row });
  if (last < section.length) put.push({ ...section[last], from: Math.max(zb, section[last].from) });
  section.splice(first, Math.min(last, section.length - 1) - first + 1, ...put);
  return [za, zb];
}

/* The section of column i when the torch has turned phi in layer l. */
function sectionAt(l, i, phi) {
  let first = l;
  while (!LAYERS[first].base) first--;
  const section = begun(LAYERS[first], i);
  for (let e = first; e <= l; e++) {
    const done = passesDone(LAYERS[e], i, e < l ? Infinity : phi);
    for (let k = 0; k < done; k++) lay(section, LAYERS[e], k, i);
  }
  return section;
}

/* Distance from the finish axis of the wall at depth z on the clock ray of a column. */
function distanceAt(r, z, sin, cos) {
  const x = r * sin + TORCH[0] - FINISH[0] + (TORCH[2] - FINISH[2]) * z;
  const y = r * cos + TORCH[1] - FINISH[1] + (TORCH[3] - FINISH[3]) * z;
  return Math.hypot(x, y);
}

/* Least stock in a cell between two depths, over the pieces of a section from number `at` on: ends and vertices. */
function leastStock(section, at, low, high, sin, cos) {
  const lean = (TORCH[2] - FINISH[2]) * sin + (TORCH[3] - FINISH[3]) * cos;
  let farthest = 0;
  for (let p = at; p < section.length && section[p].from <= high; p++) {
    const piece = section[p], a = Math.max(low, piece.from), b = Math.min(high, piece.to), { table, row } = piece;
    if (b < a) continue;
    const vertex = table.c[row] ? table.from[row] - (table.b[row] + lean) / (2 * table.c[row]) : NaN;
    farthest = Math.max(farthest, distanceAt(evaluate(piece, a), a, sin, cos), distanceAt(evaluate(piece, b), b, sin, cos));
    if (vertex > a && vertex < b) farthest = Math.max(farthest, distanceAt(evaluate(piece, vertex), vertex, sin, cos));
  }
  return RADIUS - farthest;
}

// ---- the layer that grows -----------------------------------------------------------------------------------

const live = { layer: -1, phi: 0, sections: [], done: new Int32Array(N), finished: null };

/* Read the cells of column i between two depths anew into the map of the layer's stage. */
function readCells(layer, i, low, high) {
  const section = live.sections[i], edges = META.edges, sin = Math.sin(GROWTH.clock[i]), cos = Math.cos(GROWTH.clock[i]);
  const at = (layer.stage * N + i) * M;
  let j = 0, p = 0;
  while (j < M - 1 && edges[j + 1] < low) j++;
  for (; j < M && edges[j] <= high; j++) {
    while (p < section.length - 1 && section[p].to < edges[j]) p++;
    stock[at + j] = Math.floor(leastStock(section, p, edges[j], edges[j + 1], sin, cos) / STEP);
  }
}

/* Leave the layer that grows as it is when finished. */
function restore() {
  if (live.layer >= 0) stock.set(live.finished, LAYERS[live.layer].stage * N * M);
}

function beginLayer(l) {
  const changed = live.layer !== l, layer = LAYERS[l], slice = layer.stage * N * M;
  if (changed) {
    restore();
    if (live.layer >= 0) painter.update(LAYERS[live.layer].stage);
    live.finished = stock.slice(slice, slice + N * M);
  }
  Object.assign(live, { layer: l, phi: 0 });
  stock.copyWithin(slice, slice - N * M, slice);
  layer.first ||= Array.from({ length: N }, (_, i) => sectionAt(l, i, -1));
  live.sections = layer.first.map((section) => section.slice());
  live.done.fill(0);
}

/* Bring the map to the state when the torch has turned phi in layer l: forward pass by pass, backward from the start. */
function growTo(l, phi) {
  let fresh = false;
  if (l !== live.layer || phi < live.phi) { beginLayer(l); fresh = true; }
  const layer = LAYERS[l];
  let changed = fresh;
  for (let i = 0; i < N; i++) {
    const done = passesDone(layer, i, phi);
    let low = Infinity, high = -Infinity;
    for (; live.done[i] < done; live.done[i]++) {
      const range = lay(live.sections[i], layer, live.done[i], i);
      if (range) { low = Math.min(low, range[0]); high = Math.max(high, range[1]); }
    }
    if (high > low) { readCells(layer, i, low, high); changed = true; }
  }
  live.phi = phi;
  if (changed) painter.update(layer.stage);
  return changed;
}

function unpackGrowth() {
  for (const layer of LAYERS) {
    layer.table = unpackPieces(layer.passes);
    layer.groups = layer.passes.groups;
    layer.base = layer.begun && unpackPieces(layer.begun);
  }
}
