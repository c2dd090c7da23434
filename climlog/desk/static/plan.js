// The piece as it is worked at: rails and fastenings, moved, turned, added and removed by pointer or key.

import { byId, draw, length, make } from "./dom.js";
import { state } from "./state.js";

const STEP = { inch: 25.4 / 8, metric: 5 }, FAR = { inch: 25.4, metric: 25 };
let chosen = null, piece = null, edit = null;

export function show(found, onEdit, choices) {
  piece = found;
  edit = onEdit;
  byId("bench").hidden = !piece;
  if (!piece) { return; }
  if (chosen !== null && chosen >= piece.fastenings.length) { chosen = piece.fastenings.length - 1; }
  if (!piece.fastenings.length) { chosen = null; }
  const had = byId("plan").contains(document.activeElement);
  byId("bench-from").textContent = piece.view.says[0].toUpperCase() + piece.view.says.slice(1) + ".";
  byId("bench-says").textContent = piece.view.lies + " " + (piece.fastenings.length
    ? "Drag a fastening, or choose it and use the arrow keys (Shift for more); [ and ] turn it, Delete takes it away."
    : "No fastening yet.");
  byId("plan").replaceChildren(drawing());
  tools(choices);
  if (had && chosen !== null) { mark(chosen).focus(); }
}

const mark = (n) => byId("plan").querySelector(`[data-at="${n}"]`);

function drawing() {
  const { length_mm: long, width_mm: wide } = piece, room = Math.max(long, wide) * 0.06;
  const unit = Math.max(long, wide) / 100;
  const svg = draw("svg", {
    viewBox: `${-long / 2 - room} ${-wide / 2 - room} ${long + 2 * room} ${wide + 2 * room}`,
    role: "group", "aria-label": `${piece.name} ${piece.view.says}: ${length(wide, state.units)} across the grain by ${length(long, state.units)} along it`,
  });
  svg.append(draw("rect", { class: "wood", x: -long / 2, y: -wide / 2, width: long, height: wide }));
  for (let n = 1; n < 9; n++) {
    const y = -wide / 2 + wide * n / 9;
    svg.append(draw("path", { class: "grain", d: `M${-long / 2 + unit} ${y}H${long / 2 - unit}`, "vector-effect": "non-scaling-stroke" }));
  }
  const alongs = piece.rails.along, acrosses = piece.rails.across, thick = 1.6 * unit;
  const reach = (rails, half) => rails.length ? Math.max(...rails.map(Math.abs)) : half;
  for (const x of acrosses) {
    const half = alongs.length > 1 ? reach(alongs, wide / 2) : wide / 2;
    svg.append(draw("rect", { class: "rail", x: x - thick / 2, y: -half, width: thick, height: 2 * half }));
  }
  for (const y of alongs) {
    const half = acrosses.length > 1 ? reach(acrosses, long / 2) : long / 2;
    svg.append(draw("rect", { class: "rail", x: -half, y: y - thick / 2, width: 2 * half, height: thick }));
  }
  piece.fastenings.forEach((one, n) => svg.append(fastening(one, n, unit, svg)));
  return svg;
}

function shape(one, unit) {
  const size = Math.max(one.long_mm || 0, 2.6 * unit), thin = 1.1 * unit;
  if (["plate", "slot"].includes(one.form)) {
    const across = one.form === "slot" || one.rail === "along the grain";
    const turn = (across ? 0 : 90) + (one.form === "slot" ? one.turn_deg : one.turn_deg);
    return draw("rect", { class: "seatmark", x: -thin / 2, y: -size / 2, width: thin, height: size, rx: thin / 2, transform: `rotate(${turn})` });
  }
  if (["clip", "button"].includes(one.form)) {
    return draw("rect", { class: "seatmark", x: -unit, y: -unit, width: 2 * unit, height: 2 * unit });
  }
  return draw("circle", { class: "seatmark", r: 1.1 * unit });
}

export function spoken(one, n) {
  return `${n + 1}: ${one.kind} on the rail ${one.rail}, ${length(one.x_mm, state.units)} along, ${length(one.y_mm, state.units)} across from the middle`
    + (one.turn && one.turn_deg ? `, turned ${one.turn_deg} degrees` : "");
}

function fastening(one, n, unit, svg) {
  const group = draw("g", {
    class: `fastening${chosen === n ? " chosen" : ""}`, "data-at": n, tabindex: 0, role: "button", "aria-pressed": String(chosen === n),
    "aria-label": spoken(one, n), transform: `translate(${one.x_mm} ${one.y_mm})`,
  },
  draw("circle", { class: "grab", r: 2.4 * unit }), shape(one, unit),
  draw("text", { x: 1.8 * unit, y: -1.2 * unit, "font-size": 2.3 * unit, style: `font-size:${2.3 * unit}px` }, String(n + 1)));
  group.addEventListener("focus", () => choose(n));
  group.addEventListener("pointerdown", (event) => drag(event, one, n, group, svg));
  group.addEventListener("keydown", (event) => pressed(event, one, n, group));
  return group;
}

function choose(n) {
  if (chosen === n) { return; }
  chosen = n;
  for (const one of byId("plan").querySelectorAll(".fastening")) {
    one.classList.toggle("chosen", Number(one.dataset.at) === n);
    one.setAttribute("aria-pressed", String(Number(one.dataset.at) === n));
  }
  tools();
}

function seated(one, x, y) {
  const within = (value, size) => Math.max(-size / 2, Math.min(size / 2, value));
  x = within(x, piece.length_mm);
  y = within(y, piece.width_mm);
  const along = one.rail === "along the grain", rails = along ? piece.rails.along : piece.rails.across;
  if (one.slides === "rail" && rails.length) {
    const at = along ? y : x;
    const near = rails.reduce((best, other) => (Math.abs(other - at) < Math.abs(best - at) ? other : best));
    if (along) { y = near; } else { x = near; }
  }
  return [x, y];
}

function drag(event, one, n, group, svg) {
  choose(n);
  if (!one.slides || event.button) { return; }
  event.preventDefault();
  group.focus();
  group.setPointerCapture(event.pointerId);
  const place = (at) => new DOMPoint(at.clientX, at.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const start = place(event);
  let moved = false, x = one.x_mm, y = one.y_mm;
  const follow = (at) => {
    const now = place(at);
    [x, y] = seated(one, one.x_mm + now.x - start.x, one.y_mm + now.y - start.y);
    moved = moved || Math.hypot(x - one.x_mm, y - one.y_mm) > 1;
    group.setAttribute("transform", `translate(${x} ${y})`);
  };
  const end = () => {
    group.removeEventListener("pointermove", follow);
    group.removeEventListener("pointerup", end);
    group.removeEventListener("pointercancel", end);
    if (moved) { edit({ what: "move", at: n, x_mm: x, y_mm: y }); }
  };
  group.addEventListener("pointermove", follow);
  group.addEventListener("pointerup", end);
  group.addEventListener("pointercancel", end);
}

let waiting = 0;
function pressed(event, one, n, group) {
  const step = event.shiftKey ? FAR[state.units] : STEP[state.units];
  const way = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[event.key];
  if (way && one.slides) {
    [one.x_mm, one.y_mm] = seated(one, one.x_mm + way[0] * step, one.y_mm + way[1] * step);
    group.setAttribute("transform", `translate(${one.x_mm} ${one.y_mm})`);
    clearTimeout(waiting);
    waiting = setTimeout(() => edit({ what: "move", at: n, x_mm: one.x_mm, y_mm: one.y_mm }), 350);
  } else if (event.key === "Delete" || event.key === "Backspace") { edit({ what: "remove", at: n }); }
  else if ((event.key === "[" || event.key === "]") && one.turn) { edit({ what: "turn", at: n, by: event.key === "[" ? -5 : 5 }); }
  else if (event.key === "Enter" || event.key === " ") { choose(n); }
  else { return; }
  event.preventDefault();
}

let known = null;
function tools(choices = known) {
  known = choices;
  if (!known) { return; }
  const box = byId("tools"), at = box.contains(document.activeElement) ? document.activeElement.id : "";
  box.replaceChildren(...(chosen === null ? [] : [one(piece.fastenings[chosen], chosen)]), adding());
  if (at && byId(at)) { byId(at).focus(); }
}

function one(it, n) {
  const button = (id, label, words, what) => make("button", { type: "button", id, class: "quiet", "aria-label": label, onclick: () => edit(what) }, words);
  const place = (key, mm) => make("span", { class: "field" }, make("label", { for: `at-${key}` }, key === "x" ? "Along" : "Across"),
    make("input", { type: "text", id: `at-${key}`, class: "narrow", value: length(mm, state.units), disabled: !it.slides,
      onchange: (event) => edit({ what: "move", at: n, [key]: event.target.value.trim() }) }));
  return make("div", { class: "rowcard", role: "group", "aria-label": `Fastening ${n + 1}` },
    make("p", {}, make("strong", {}, `Number ${n + 1}`), `: ${it.words}, ${it.rail}`),
    make("div", { class: "row" }, place("x", it.x_mm), place("y", it.y_mm),
      it.turn ? button("turn-less", "Turn it 5 degrees one way", "⟲ 5°", { what: "turn", at: n, by: -5 }) : "",
      it.turn ? button("turn-more", "Turn it 5 degrees the other way", "⟳ 5°", { what: "turn", at: n, by: 5 }) : "",
      button("remove", `Take fastening ${n + 1} away`, "Take away", { what: "remove", at: n })),
    make("div", { class: "field" }, make("label", { for: "exchange" }, "Kind"),
      make("select", { id: "exchange", onchange: (event) => edit({ what: "exchange", at: n, kind: event.target.value }) },
        ...known.kinds.filter((kind) => kind.on_a_rail || kind.name === it.kind).map((kind) => make("option", { value: kind.name, selected: kind.name === it.kind }, kind.words)))),
    make("details", {}, make("summary", {}, `Sizes of every ${it.kind} ${it.rail}`),
      make("div", { class: "fields" }, ...it.sizes.map((size) => make("div", { class: "field" },
        make("label", { for: `size-${size.key}` }, size.key.replace(/_/g, " ")),
        make("input", { type: "text", id: `size-${size.key}`, value: size.assumed ? "" : written(size), placeholder: `${written(size)}, assumed`,
          onchange: (event) => edit({ what: "size", kind: it.kind, rail: it.rail, key: size.key, value: event.target.value.trim() }) }))))));
}

const written = (size) => size.unit === "mm" ? `${Math.round(size.value * 100) / 100} mm` : size.unit === "deg" ? `${size.value} deg` : String(size.value);

function adding() {
  const rails = [
    ...piece.rails.across.map((at) => ({ rail: "across the grain", at })),
    ...piece.rails.along.map((at) => ({ rail: "along the grain", at })),
  ];
  const kind = make("select", { id: "add-kind", "aria-label": "Kind to add" },
    ...known.kinds.filter((one) => one.on_a_rail || one.name === "pin").map((one) => make("option", { value: one.name, selected: one.name === (piece.fastenings.at(-1) || {}).kind }, one.words)));
  const rail = make("select", { id: "add-rail", "aria-label": "Rail to add it to" },
    ...rails.map((one, n) => make("option", { value: n }, `${one.rail}, ${length(one.at, state.units)} from the middle`)));
  return make("div", { class: "row" }, make("span", {}, "Add"), kind, rail,
    make("button", { type: "button", id: "add", class: "quiet", disabled: !rails.length, onclick: () => {
      const to = rails[Number(rail.value)];
      edit({ what: "add", kind: kind.value, rail: to.rail, rail_at_mm: to.at });
    } }, "Put it there"));
}
