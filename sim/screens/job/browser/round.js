/* The bore in 3-D in a frame of its own. A new picture is made ready behind the one that is shown and takes its place when
   it is drawn, so nothing flickers; the eye is kept by the view itself. */
const rounds = new WeakMap();
const LONGEST = 20000; // ms a picture is waited for

export default function ({ parentElement, data, setStateValue }) {
  const root = parentElement.querySelector(".round"), find = (name) => root.querySelector(name);
  let r = rounds.get(root);
  if (!r) { rounds.set(root, (r = { stage: null, n: 0, place: window.borePlace || null })); build(root, find, r); }
  Object.assign(r, { data, setStateValue });
  if (data.html && data.stamp !== r.stamp) bring(find(".stand"), find(".wait"), r);
  else if (r.frame && !r.coming) r.shownData = data;
  buttons(find(".stages"), r);
  choices(find("select"), r);
  find(".wait").textContent = data.reason || (data.html || r.frame ? "" : "building the view ...");
  r.tell();
}

function build(root, find, r) {
  r.tell = () => {
    const view = r.frame && r.frame.contentWindow && r.frame.contentWindow.boreView;
    if (!view || !view.show || !r.shownData) return;
    const { stages, often, theme } = r.shownData, k = wanted(r), at = stages[k];
    view.show({ stage: at.stage, finished: at.finished, often, colour: often ? "often" : "stock", theme: r.data.theme, place: r.place && { theta: r.place.clock, depth: r.place.depth } });
  };
  window.addEventListener("bore-place", (event) => {
    if (!root.isConnected) return;
    r.place = event.detail;
    r.tell();
  });
  find("select").addEventListener("input", () => r.setStateValue("shows", find("select").value));
}

const wanted = (r) => {
  const { stages } = r.data, k = stages.findIndex((one) => one.name === r.stage);
  return k < 0 ? stages.findLastIndex((one) => !one.finished) : k;
};

function buttons(bar, r) {
  const on = wanted(r);
  bar.replaceChildren(...r.data.stages.map((one, k) => {
    const button = document.createElement("button");
    button.type = "button";
    button.textContent = one.name;
    button.setAttribute("aria-pressed", String(k === on));
    button.addEventListener("click", () => { r.stage = one.name; buttons(bar, r); r.tell(); bar.children[k].focus(); });
    return button;
  }));
}

function choices(select, r) {
  const told = JSON.stringify(r.data.choices);
  if (r.choices !== told) {
    r.choices = told;
    select.replaceChildren(...r.data.choices.map(([value, words]) => Object.assign(document.createElement("option"), { value, textContent: words })));
    select.setAttribute("aria-label", "What the picture shows");
  }
  select.value = r.data.shows;
}

function bring(stand, wait, r) {
  const { data } = r, frame = document.createElement("iframe"), begun = performance.now();
  if (r.coming) r.coming.remove();
  r.coming = frame;
  frame.className = "coming";
  frame.title = "The bore in 3-D";
  frame.srcdoc = data.html;
  stand.append(frame);
  r.stamp = data.stamp;
  const look = () => {
    if (r.coming !== frame) return;
    const inside = frame.contentDocument && frame.contentDocument.documentElement;
    if (!inside || !inside.dataset.ready) {
      if (performance.now() - begun < LONGEST) setTimeout(look, 30);
      else wait.textContent = "The 3-D view did not open here; the section and the map show the same.";
      return;
    }
    inside.dataset.held = "";
    const before = r.frame;
    Object.assign(r, { frame, coming: null, shownData: data });
    const view = frame.contentWindow.boreView;
    if (view) view.onplace = (place) => {
      r.place = place;
      r.n += 1;
      window.dispatchEvent(new CustomEvent("bore-place", { detail: { ...place, from: "round" } }));
      r.setStateValue("place", { ...place, n: r.n });
    };
    r.tell();
    setTimeout(() => { frame.className = ""; frame.dataset.stamp = data.stamp; if (before) before.remove(); }, 60);
  };
  look();
}
