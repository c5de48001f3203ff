/* One handle with two readings: pitch, and the share of the bead width the next bead covers. While it is held its
   value goes to Python as fast as answers come back; when it is let go the job takes it. */
const handles = new WeakMap();
const WAIT = 700, REST = 450; // ms: longest for an answer; from the last key to taking it

export default function ({ parentElement, data, setStateValue, setTriggerValue }) {
  const root = parentElement.querySelector(".handle"), find = (name) => root.querySelector(name);
  let h = handles.get(root);
  if (!h) {
    handles.set(root, (h = { n: 0, sent: null, want: null, held: false, resting: 0, waiting: 0 }));
    build(root, find, h);
  }
  Object.assign(h, { data, setStateValue, setTriggerValue });
  const slide = find(".slide");
  slide.min = data.least; slide.max = data.most; slide.step = data.step;
  find(".unit").textContent = data.unit;
  find(".pitch").setAttribute("aria-label", `Pitch [${data.unit}]`);
  find(".overlap").setAttribute("aria-label", "Bead overlap [%]");
  slide.setAttribute("aria-label", "Pitch and bead overlap");
  find(".fault").textContent = data.fault; find(".fault").hidden = !data.fault;
  if (data.n && data.n === h.n) h.answered();
  if (h.of !== data.of || h.shown !== data.pitch || data.fault) {
    Object.assign(h, { of: data.of, shown: data.pitch });
    if (!h.held && !h.resting) h.say(data.pitch);
  }
}

function build(root, find, h) {
  const slide = find(".slide"), pitch = find(".pitch"), overlap = find(".overlap");
  h.say = (value) => {
    const { digits, width, unit } = h.data, share = Math.round(100 * (1 - value / width));
    slide.value = value;
    if (root.getRootNode().activeElement !== pitch) pitch.value = value.toFixed(digits);
    if (root.getRootNode().activeElement !== overlap) overlap.value = share;
    slide.setAttribute("aria-valuetext", `${value.toFixed(digits)} ${unit} pitch, ${share} % bead overlap`);
  };
  const send = () => {
    if (h.waiting || h.want === null || h.want === h.sent) return;
    h.sent = h.want; h.n = Math.max(h.n + 1, Date.now());
    h.waiting = setTimeout(h.answered, WAIT);
    h.setStateValue("live", { of: h.data.of, pitch: h.want, n: h.n });
  };
  h.answered = () => { clearTimeout(h.waiting); h.waiting = 0; send(); };
  const move = (value) => { h.want = value; h.say(value); send(); };
  const take = () => {
    clearTimeout(h.resting); h.resting = 0;
    const value = h.want; h.want = h.sent = null;
    if (value !== null && value !== h.data.pitch) h.setTriggerValue("let_go", { pitch: value });
    else h.setStateValue("live", null);
  };
  const rest = () => { clearTimeout(h.resting); h.resting = setTimeout(take, REST); };
  slide.addEventListener("pointerdown", () => (h.held = true));
  for (const name of ["pointerup", "pointercancel"]) window.addEventListener(name, () => { if (h.held) { h.held = false; take(); } });
  slide.addEventListener("input", () => { move(Number(slide.value)); if (!h.held) rest(); });
  const typed = (box, meant) => {
    box.addEventListener("change", () => {
      const number = Number(box.value.replace(",", "."));
      box.blur();
      if (!Number.isFinite(number) || !box.value.trim()) { h.say(h.data.pitch); return; }
      move(Number(meant(number).toFixed(h.data.digits + 1))); take();
    });
    box.addEventListener("keydown", (event) => { if (event.key === "Escape") { box.blur(); h.say(h.data.pitch); } });
  };
  typed(pitch, (number) => number);
  typed(overlap, (number) => h.data.width * (1 - number / 100));
}
