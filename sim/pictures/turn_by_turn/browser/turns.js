/* Last part: the player. A place in the job is (layer, angle turned); the slider counts turns over all layers. */

const BEGIN = LAYERS.reduce((out, layer) => [...out, out[out.length - 1] + angleOf(layer)], [0]), WHOLE = BEGIN[LAYERS.length];
const SECONDS = LAYERS.map((layer) => angleOf(layer) / layer.rotation), ALL_SECONDS = SECONDS.reduce((a, b) => a + b, 0);
const CALM = matchMedia("(prefers-reduced-motion: reduce)");
const player = { place: 0, playing: false, last: 0, shown: 0, busy: 0, solidFrom: 0 };
const HALF_A_SECOND = 500;

function where(place = player.place) {
  let l = LAYERS.length - 1;
  while (l > 0 && place < BEGIN[l] - 1e-9) l--;
  return { l, phi: Math.max(0, Math.min(place - BEGIN[l], angleOf(LAYERS[l]))) };
}

/* Column of the section: at the clock chosen, or where the torch stands. */
function column({ l, phi }) {
  const angle = $("follow").checked ? clockAt(LAYERS[l], phi) : (Number($("at-clock").value) / 720) * TURN;
  return clockIndex(angle);
}

const time = (seconds) => `${Math.floor(seconds / 60)}:${String(Math.floor(seconds % 60)).padStart(2, "0")}`;
function words({ l, phi }) {
  const layer = LAYERS[l], turns = Math.ceil(angleOf(layer) / TURN - 1e-6), on = arcOn(layer, phi);
  const elapsed = SECONDS.slice(0, l).reduce((a, b) => a + b, 0) + phi / layer.rotation, ended = player.place >= WHOLE;
  return {
    layer: `${layer.number} of ${LAYERS.length}`,
    turn: `${Math.min(turns, Math.floor(phi / TURN + 1e-9) + 1)} of ${turns}`,
    depth: sized(depthAt(layer, phi), META.unit.digits - 1),
    torch: clockText(clockAt(layer, phi)),
    turning: layer.turning > 0 ? "clockwise" : "counter-clockwise",
    arc: ended ? "done" : on ? "on" : "off, no weld here",
    feed: feedWords(layer, phi),
    time: `${time(elapsed)} of ${time(ALL_SECONDS)}`,
  };
}

function feedWords(layer, phi) {
  if (layer.advance === "step") return feeding(layer, phi) ? "stepping over" : "off, full turn";
  return feeding(layer, phi) ? "on" : "off, closing turn";
}

function tell(here, aloud) {
  const said = words(here);
  for (const [name, text] of Object.entries(said)) if ($(`said-${name}`).textContent !== text) $(`said-${name}`).textContent = text;
  $("arc-lamp").dataset.on = String(said.arc === "on");
  const line = `Layer ${said.layer}, turn ${said.turn}, ${said.depth} deep, torch at ${said.torch} turning ${said.turning}, arc ${said.arc}`;
  $("whole").value = player.place / TURN;
  $("whole").setAttribute("aria-valuetext", line);
  if (aloud) $("announce").textContent = line;
  for (const id of ["section", "dial"]) $(id).setAttribute("aria-label", `${id === "dial" ? "End view at the torch's depth" : "Axial section at " + clockText(GROWTH.clock[column(here)])}: ${line}`);
}

function show({ aloud = true } = {}) {
  const here = where(), layer = LAYERS[here.l], began = performance.now(), stage = state.stage;
  growTo(here.l, here.phi);
  state.stage = layer.stage;
  torch = { theta: clockAt(layer, here.phi), depth: Math.max(0, Math.min(LENGTH, depthAt(layer, here.phi))), on: arcOn(layer, here.phi) && player.place < WHOLE, playing: player.playing };
  const drawn = { ...here, i: column(here) };
  drawSection(drawn);
  drawDial(drawn);
  if ($("follow").checked) $("at-clock").value = Math.round((GROWTH.clock[drawn.i] / TURN) * 144) * 5;
  $("at-clock-said").textContent = clockText(GROWTH.clock[drawn.i]);
  $("at-clock").setAttribute("aria-valuetext", `${clockText(GROWTH.clock[drawn.i])} o'clock`);
  tell(here, aloud);
  player.shown++;
  player.busy = performance.now() - began;
  solid(stage !== state.stage);
}

/* Draw the 3-D view anew; while playing it takes no more than half of the time, so that hand, section and buttons
   keep up where there is no graphics card. */
function solid(words) {
  const now = performance.now();
  if (player.playing && !words && now < player.solidFrom) return;
  player.solidFrom = now + 2 * view.lastMs;
  refresh({ words, store: false });
}

function goTo(place, options) {
  player.place = Math.max(0, Math.min(WHOLE, place));
  if (player.place >= WHOLE) pause();
  show(options);
}

function play(on) {
  if (on && player.place >= WHOLE) player.place = 0;
  player.playing = on;
  $("play").textContent = on ? "Pause" : "Play";
  player.last = performance.now();
  if (on) requestAnimationFrame(tick);
}
function pause() { if (player.playing) { play(false); show(); } }

/* Real time at the torch, or so many seconds a turn; with less motion asked for, whole turns at a time. */
const angleIn = (ms) => {
  const seconds = Number($("speed").value), layer = LAYERS[where().l];
  return (ms / 1000) * (seconds ? TURN / seconds : layer.rotation);
};
function tick(now) {
  if (!player.playing) return;
  const gone = Math.max(0, now - player.last);
  const step = CALM.matches && gone < Math.max(HALF_A_SECOND, 1000 * Number($("speed").value)) ? 0 : CALM.matches ? TURN : angleIn(Math.min(gone, HALF_A_SECOND));
  if (step || !CALM.matches) {
    player.last = now;
    const end = BEGIN[where().l + 1], next = player.place + step;
    goTo(player.place < end && next > end ? Math.max(end, player.place) : next, { aloud: false });
  }
  if (player.playing) requestAnimationFrame(tick);
}

function stepTurn(way) {
  play(false);
  const { l, phi } = where(), turn = phi / TURN;
  const next = way > 0 ? Math.floor(turn + 1 + 1e-6) : Math.ceil(turn - 1 - 1e-6);
  if (next < 0) goTo(l > 0 ? BEGIN[l] - 1e-6 : 0);
  else goTo(BEGIN[l] + Math.min(next * TURN, angleOf(LAYERS[l])));
}
function stepLayer(way) {
  play(false);
  const { l, phi } = where();
  goTo(way > 0 ? BEGIN[l + 1] : phi > 1e-6 ? BEGIN[l] : BEGIN[Math.max(0, l - 1)]);
}

const MOVES = {
  play: () => { play(!player.playing); if (!player.playing) show(); },
  "turn-back": () => stepTurn(-1), "turn-on": () => stepTurn(1),
  "layer-back": () => stepLayer(-1), "layer-on": () => stepLayer(1),
  start: () => { play(false); goTo(0); }, end: () => { play(false); goTo(WHOLE); },
};
const PLAYER_KEYS = { " ": "play", ArrowRight: "turn-on", ArrowLeft: "turn-back", PageDown: "layer-on", PageUp: "layer-back", Home: "start", End: "end" };

function playerControls() {
  Object.assign($("whole"), { min: 0, max: WHOLE / TURN, step: "any" });
  $("whole").addEventListener("input", () => { play(false); goTo(Number($("whole").value) * TURN); });
  for (const name of ["play", "turn-back", "turn-on", "layer-back", "layer-on"]) $(name).addEventListener("click", MOVES[name]);
  for (const id of ["at-clock", "follow"]) $(id).addEventListener("input", () => { $("at-clock").disabled = $("follow").checked; show(); });
  for (const marks = $("layer-marks"), each = BEGIN.slice(1, -1); each.length; ) marks.append(element("option")), (marks.lastChild.value = each.shift() / TURN);
  document.addEventListener("keydown", (event) => {
    const { target, key } = event, name = PLAYER_KEYS[key];
    if (!name || event.ctrlKey || event.metaKey || event.altKey || (target === canvas && KEYS[key])) return;
    if (key === " " ? ["BUTTON", "SELECT"].includes(target.tagName) || target.type === "checkbox" : target.tagName === "SELECT" || (target.type === "range" && target.id !== "whole")) return;
    event.preventDefault();
    MOVES[name]();
  });
  new ResizeObserver(() => show({ aloud: false })).observe($("beside"));
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => show({ aloud: false }));
}

whenReady.push(() => {
  unpackGrowth();
  $("at-clock").value = Math.round((META.worst[0] / TURN) * 720 / 5) * 5 % 720;
  playerControls();
  goTo(0, { aloud: false });
  window.turns = {
    player, where, words, live, columns: N, stage: () => state.stage, goTo: (l, phi) => goTo(BEGIN[l] + phi),
    ends: LAYERS.map(angleOf), map: () => stock.slice(state.stage * N * M, (state.stage + 1) * N * M),
    section: (i, depths) => { const { l, phi } = where(), s = sectionAt(l, i, phi); return depths.map((z) => evaluate(s.find((p) => p.to >= z), z)); },
    column: () => column(where()),
  };
});
