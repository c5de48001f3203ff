/* The section at the clock chosen and the unrolled map of stock. A click in either, or in the 3-D view, moves the place
   of all three: at once here, exactly when Python has answered. */
const pairs = new WeakMap(), TURN = 2 * Math.PI, NONE = -32768;

export default function ({ parentElement, data, setStateValue }) {
  const root = parentElement.querySelector(".linked"), find = (name) => root.querySelector(name);
  let p = pairs.get(root);
  if (!p) { pairs.set(root, (p = { n: 0 })); build(root, find, p); }
  p.setStateValue = setStateValue;
  const size = new DataView(data.buffer, data.byteOffset).getUint32(0, true), bytes = data.slice(4 + size);
  p.head = JSON.parse(new TextDecoder().decode(data.subarray(4, 4 + size)));
  p.levels = new Int16Array(bytes.buffer, 0, bytes.byteLength >> 1);
  if (!p.moving || p.head.n === p.n) { p.place = p.head.place; p.moving = false; }
  p.draw();
  p.drawn = (p.drawn || 0) + 1;
  root.dataset.drawn = p.drawn;
  root.dataset.stamp = p.head.stamp;
  say(p.place);
}

const say = (place) => { window.borePlace = place; window.dispatchEvent(new CustomEvent("bore-place", { detail: { ...place, from: "linked" } })); };

const clockText = (theta) => {
  const minutes = Math.round((((theta % TURN) + TURN) % TURN / TURN) * 720) % 720;
  return `${Math.floor(minutes / 60) || 12}:${String(minutes % 60).padStart(2, "0")}`;
};

function build(root, find, p) {
  const svg = find(".section"), map = find(".map"), clock = find(".clock"), depth = find(".depth");
  const sized = (mm, more = 0) => (mm / p.head.unit.each).toFixed(Math.max(0, p.head.unit.digits + more));
  let waiting = 0;
  const send = () => { waiting = 0; p.setStateValue("place", { clock: p.place.clock, depth: p.place.depth, n: p.n }); };
  const go = (theta, z, soon = true) => {
    p.place = { clock: ((theta % TURN) + TURN) % TURN, depth: Math.max(0, Math.min(p.head.length, z)) };
    p.n += 1; p.moving = true;
    p.draw();
    say(p.place);
    if (soon) { clearTimeout(waiting); send(); } else if (!waiting) waiting = setTimeout(send, 120);
  };
  window.addEventListener("bore-place", (event) => {
    if (event.detail.from === "linked" || !p.head || !root.isConnected) return;
    p.place = { clock: event.detail.clock, depth: event.detail.depth };
    p.draw();
  });
  const share = (event, node) => {
    const box = node.getBoundingClientRect();
    return [event.clientX - box.left, event.clientY - box.top, box];
  };
  for (const node of [svg, map]) node.addEventListener("pointerdown", (event) => { node.setPointerCapture(event.pointerId); at(node, event, false); });
  for (const node of [svg, map]) node.addEventListener("pointermove", (event) => { if (event.buttons) at(node, event, false); });
  for (const node of [svg, map]) node.addEventListener("pointerup", (event) => at(node, event, true));
  function at(node, event, soon) {
    const [x, y] = share(event, node), frame = node === svg ? p.frame : p.field;
    if (!frame) return;
    if (node === svg) go(p.place.clock, ((x - frame.left) / frame.wide) * p.head.length, soon);
    else go(((x - frame.left) / frame.wide) * TURN, ((y - frame.top) / frame.high) * p.head.length, soon);
  }
  clock.addEventListener("input", () => go((clock.value / 720) * TURN, p.place.depth, false));
  depth.addEventListener("input", () => go(p.place.clock, Number(depth.value), false));
  p.draw = () => {
    clock.value = Math.round((p.place.clock / TURN) * 720) % 720;
    clock.setAttribute("aria-label", "Clock of the section");
    clock.setAttribute("aria-valuetext", `${clockText(p.place.clock)} o'clock`);
    depth.max = p.head.length; depth.step = p.head.length / 400; depth.value = p.place.depth;
    depth.setAttribute("aria-label", "Depth of the place");
    depth.setAttribute("aria-valuetext", `${sized(p.place.depth, -1)} ${p.head.unit.label}`);
    find(".at").textContent = `Section at ${clockText(p.place.clock)}`;
    find(".what").textContent = p.head.mapTitle;
    find(".place").textContent = p.head.said;
    find(".place").title = p.head.said;
    section(svg, find(".note"), p, sized);
    unrolled(map, find(".scale"), p, sized);
  };
  new ResizeObserver(() => p.head && p.draw()).observe(root);
}

function make(parent, name, attributes, text) {
  const made = document.createElementNS("http://www.w3.org/2000/svg", name);
  for (const [key, value] of Object.entries(attributes)) made.setAttribute(key, value);
  if (text !== undefined) made.textContent = text;
  parent.append(made);
  return made;
}

/* Depth to the right, stock per side up; what lies below the finish line stays black. */
function section(svg, note, p, sized) {
  const box = svg.getBoundingClientRect(), { head } = p, shown = head.lines.filter((line) => !line.poor);
  if (box.width < 20) return;
  const all = shown.flatMap((line) => line.s), low = Math.min(0, ...all), high = Math.max(0.2, ...all), room = 0.06 * (high - low);
  const frame = (p.frame = { left: 30, wide: box.width - 36, top: 4, high: box.height - 20 });
  const x = (z) => frame.left + (z / head.length) * frame.wide, y = (s) => frame.top + ((high + room - s) / (high - low + 2 * room)) * frame.high;
  svg.replaceChildren();
  svg.setAttribute("aria-label", `Section at ${clockText(p.place.clock)}: ${head.said}`);
  const taller = frame.high / (high - low + 2 * room) / (frame.wide / head.length);
  note.textContent = `heights × ${taller < 3 ? taller.toFixed(1) : taller.toFixed(0)}`;
  const each = [0.05, 0.1, 0.2, 0.25, 0.5, 1, 2, 5, 10].map((v) => v * (head.unit.each > 1 ? head.unit.each / 20 : 1)).find((v) => (high - low) / v <= 6) || 20;
  for (let s = Math.ceil(low / each) * each; s <= high; s += each) {
    make(svg, "line", { x1: frame.left, x2: frame.left + frame.wide, y1: y(s), y2: y(s), stroke: "currentColor", "stroke-opacity": 0.13 });
    make(svg, "text", { x: frame.left - 4, y: y(s) + 4, "text-anchor": "end" }, sized(s, -1));
  }
  const unit = head.unit.each, along = [1, 2, 5, 10, 20, 25, 50, 100, 200].map((v) => (unit > 1 ? (v * unit) / 10 : v)).find((v) => head.length / v <= 6) || 500;
  for (let z = 0; z <= head.length + 1e-6; z += along) make(svg, "text", { x: x(z), y: box.height - 3, "text-anchor": z ? "middle" : "start" }, sized(z, unit > 1 ? -1 : -2) + (z + along > head.length ? ` ${head.unit.label} deep` : ""));
  const path = (line) => line.z.map((z, k) => `${k ? "L" : "M"}${x(z).toFixed(1)} ${y(line.s[k]).toFixed(1)}`).join("");
  const last = shown[shown.length - 1];
  const below = last.z.map((z, k) => `${k ? "L" : "M"}${x(z).toFixed(1)} ${y(Math.min(0, last.s[k])).toFixed(1)}`).join("");
  make(svg, "path", { d: `${below}L${x(last.z[last.z.length - 1])} ${y(0)}L${x(last.z[0])} ${y(0)}Z`, fill: head.colours.black, stroke: head.colours.edge, "stroke-width": Math.min(...last.s) < 0 ? 1 : 0 });
  if (head.cut > 0) make(svg, "line", { x1: frame.left, x2: frame.left + frame.wide, y1: y(head.cut), y2: y(head.cut), stroke: head.colours.finish, "stroke-width": 1, "stroke-dasharray": "2 3" });
  for (const line of head.lines) make(svg, "path", { d: path(line), fill: "none", stroke: line.colour, "stroke-width": line === last ? 2.4 : 1.5, ...(line.poor ? { "stroke-dasharray": "2 4" } : {}) });
  make(svg, "line", { x1: frame.left, x2: frame.left + frame.wide, y1: y(0), y2: y(0), stroke: head.colours.finish, "stroke-width": 2, "stroke-dasharray": "9 5" });
  make(svg, "text", { x: frame.left + frame.wide, y: y(0) - 4, "text-anchor": "end", class: "halo" }, "finish cut");
  const s = stockAt(last, p.place.depth);
  make(svg, "line", { x1: x(p.place.depth), x2: x(p.place.depth), y1: frame.top, y2: frame.top + frame.high, stroke: "currentColor", "stroke-dasharray": "3 4" });
  make(svg, "circle", { cx: x(p.place.depth), cy: y(s), r: 5, fill: "currentColor", stroke: "#fff", "stroke-width": 1.5 });
}

/* Stock of a section line at a depth, straight between its knots. */
function stockAt(line, depth) {
  const k = Math.max(1, line.z.findIndex((z) => z >= depth)), z0 = line.z[k - 1], z1 = line.z[k];
  return line.s[k - 1] + (z1 > z0 ? Math.max(0, Math.min(1, (depth - z0) / (z1 - z0))) : 0) * (line.s[k] - line.s[k - 1]);
}

const hex = (c) => [1, 3, 5].map((k) => parseInt(c.slice(k, k + 2), 16));
function mixed(stops, share) {
  const k = Math.max(0, stops.findLastIndex(([at]) => at <= share)), a = stops[k], b = stops[k + 1] || a;
  const part = b[0] > a[0] ? (share - a[0]) / (b[0] - a[0]) : 0, x = hex(a[1]), y = hex(b[1]);
  return x.map((v, c) => Math.round(v + part * (y[c] - v)));
}

/* Clock to the right, depth down; the least of what a cell covers. */
function unrolled(map, scale, p, sized) {
  const { head, levels } = p, [n, m] = head.shape, box = map.getBoundingClientRect(), sharp = Math.min(devicePixelRatio || 1, 2);
  if (box.width < 20) return;
  const small = (p.small ||= document.createElement("canvas"));
  if (p.painted !== levels) {
    p.painted = levels;
    small.width = n; small.height = m;
    const to = small.getContext("2d"), image = to.createImageData(n, m), table = Array.from({ length: 257 }, (_, k) => mixed(head.stops, k / 256));
    const black = hex(head.colours.black), edge = hex(head.colours.edge), none = hex(head.colours.not);
    for (let i = 0; i < n; i++)
      for (let j = 0; j < m; j++) {
        const v = levels[i * m + j], at = 4 * (j * n + i);
        const c = v === NONE ? none : v < 0 ? ((i + j) % 5 ? black : edge) : table[Math.min(256, Math.round((256 * v * head.step) / head.top))];
        image.data.set([...c, 255], at);
      }
    to.putImageData(image, 0, 0);
  }
  map.width = box.width * sharp; map.height = box.height * sharp;
  const g = map.getContext("2d");
  g.scale(sharp, sharp);
  const ink = getComputedStyle(map).color, field = (p.field = { left: 22, wide: box.width - 30, top: 2, high: box.height - 18 });
  g.imageSmoothingEnabled = false;
  g.drawImage(small, field.left, field.top, field.wide, field.high);
  g.fillStyle = ink; g.strokeStyle = ink;
  g.font = `11px ${getComputedStyle(map).fontFamily}`;
  g.textAlign = "center";
  for (let hour = 0; hour <= 12; hour += 3) g.fillText(String(hour || 12), field.left + (hour / 12) * field.wide, box.height - 4);
  g.textAlign = "right";
  g.fillText("0", field.left - 4, field.top + 10);
  g.fillText(sized(head.length, head.unit.each > 1 ? -1 : -2), field.left - 2, field.top + field.high);
  const x = field.left + (p.place.clock / TURN) * field.wide, y = field.top + (p.place.depth / head.length) * field.high;
  g.setLineDash([3, 4]); g.lineWidth = 1.2; g.strokeStyle = "#1f2328";
  g.beginPath(); g.moveTo(x, field.top); g.lineTo(x, field.top + field.high); g.stroke();
  g.setLineDash([]);
  for (const [width, colour] of [[5, "#ffffff"], [2.2, "#1f2328"]]) { g.lineWidth = width; g.strokeStyle = colour; g.beginPath(); g.arc(x, y, 7, 0, TURN); g.stroke(); }
  map.setAttribute("aria-label", `${head.mapTitle}: ${head.mapSaid}`);
  const stops = head.stops.map(([at, c]) => `${c} ${100 * at}%`).join(","), bar = document.createElement("i"), hatch = document.createElement("i");
  bar.style.background = `linear-gradient(90deg, ${stops})`;
  hatch.className = "patch"; hatch.style.background = `repeating-linear-gradient(45deg, ${head.colours.black} 0 3px, ${head.colours.edge} 3px 4.5px)`;
  scale.replaceChildren("0", bar, head.topSaid, ...(head.often ? [] : [hatch, "black"]));
}
