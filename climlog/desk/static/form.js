// Station 2: the fields of the piece; each is a key of its sheet.

import { byId, make } from "./dom.js";
import { get, put, state } from "./state.js";

const field = (label, input, hint = "") => {
  const control = input.matches("input, select") ? input : input.querySelector("input, select");
  const wrong = make("span", { class: "wrong", id: `${control.id}-wrong` });
  control.setAttribute("aria-describedby", `${control.id}-wrong`);
  return make("div", { class: "field" }, make("label", { for: control.id }, label), input, hint ? make("span", { class: "small" }, hint) : "", wrong);
};

export const idOf = (path) => `f-${path.join("-")}`;

function text(tables, path, changed, more = {}) {
  const value = get(tables, path);
  return make("input", {
    type: "text", id: idOf(path), value: typeof value === "object" ? "" : value ?? "", spellcheck: "false", ...more,
    onchange: (event) => { put(tables, path, event.target.value.trim()); changed(); },
  });
}

function day(tables, path, changed) {
  return make("input", { type: "date", id: idOf(path), value: get(tables, path) ?? "",
    onchange: (event) => { put(tables, path, event.target.value); changed(); } });
}

function select(tables, path, options, changed, empty = "not said") {
  const value = get(tables, path) ?? "";
  const names = options.map((one) => (typeof one === "string" ? { name: one } : one));
  if (value && !names.some((one) => one.name === value)) { names.unshift({ name: value }); }
  return make("select", { id: idOf(path), onchange: (event) => { put(tables, path, event.target.value); changed(); } },
    make("option", { value: "" }, empty),
    ...names.map((one) => make("option", { value: one.name, selected: one.name === value }, one.words ? `${one.name}: ${one.words}`.slice(0, 90) : one.name)));
}

function datalist(id, names) {
  return make("datalist", { id }, ...names.map((one) => make("option", { value: one })));
}

function finish(tables, face, words, choices, changed) {
  const path = ["finish", face], given = get(tables, path);
  const kind = typeof given === "object" ? given.kind : given ?? "";
  const coats = typeof given === "object" ? given.coats ?? "" : "";
  const store = () => {
    const said = box.value.trim(), number = Number(count.value);
    put(tables, path, !said ? "" : said === "none" ? "none" : { kind: said, ...(number > 0 ? { coats: number } : {}) });
    changed();
  };
  const box = make("input", { type: "text", list: "finishes", id: idOf(path), value: kind, onchange: store, spellcheck: "false" });
  const count = make("input", { type: "number", min: 1, max: 12, id: `${idOf(path)}-coats`, value: coats, onchange: store, "aria-label": `Coats on the ${words}`, class: "narrow" });
  return field(`Finish, ${words}`, make("span", { class: "pair" }, box, count));
}

function rails(tables, key, label, changed) {
  const path = ["base", key], given = get(tables, path);
  const at = given && typeof given === "object" && !Array.isArray(given) ? given.at : given;
  const thick = given && typeof given === "object" ? given.thickness ?? "" : "";
  const store = () => {
    const places = where.value.split(";").map((one) => one.trim()).filter(Boolean);
    const thickness = how.value.trim();
    const value = { ...(places.length ? { at: places.length > 1 ? places : places[0] } : {}), ...(thickness ? { thickness } : {}) };
    put(tables, path, Object.keys(value).length ? value : "");
    changed();
  };
  const where = make("input", { type: "text", id: idOf(path), value: Array.isArray(at) ? at.join("; ") : at ?? "", onchange: store, spellcheck: "false", placeholder: "by the layout" });
  const how = make("input", { type: "text", id: `${idOf(path)}-thickness`, value: thick, onchange: store, "aria-label": `Thickness of the ${label.toLowerCase()}`, class: "narrow", placeholder: "thick" });
  return field(label, make("span", { class: "pair" }, where, how), "from the middle of the top; several: 10 in; -10 in");
}

function held(tables, choices, changed, rebuilt) {
  const rows = tables.fastening = tables.fastening || [];
  const cards = rows.map((row, n) => make("div", { class: "rowcard", role: "group", "aria-label": `Fastening ${n + 1}` },
    field("Held by", select(tables, ["fastening", n, "kind"], choices.kinds, changed, "choose a kind")),
    field("On rails", select(tables, ["fastening", n, "rail"], ["across the grain", "along the grain"], changed, "as the layout has it")),
    field("On each rail", make("input", { type: "number", min: 1, max: 30, id: idOf(["fastening", n, "count"]), value: row.count ?? "", placeholder: "by rule",
      onchange: (event) => { put(tables, ["fastening", n, "count"], event.target.value ? Number(event.target.value) : ""); changed(); } })),
    field("From the first to the last", text(tables, ["fastening", n, "spread"], changed, { placeholder: "by rule" })),
    make("button", { type: "button", class: "quiet", "aria-label": `Take fastening ${n + 1} away`, onclick: () => { rows.splice(n, 1); if (!rows.length) { delete tables.fastening; } rebuilt(); } }, "Take away")));
  const add = make("button", { type: "button", class: "quiet", onclick: () => { rows.push({ kind: "slot" }); tables.fastening = rows; rebuilt(); } }, rows.length ? "And another kind" : "Choose how it is held");
  if (!rows.length) { delete tables.fastening; }
  return make("div", { id: "held" }, ...cards, rows.length ? "" : make("p", { class: "small" }, "Nothing holds it yet: the answer then plans fastenings for this place."), add);
}

function placed(tables, changed) {
  const rows = tables.fastening || [];
  return make("div", { id: "held" }, make("p", {}, `${rows.length} fastenings, each at its place in the drawing below.`),
    make("button", { type: "button", class: "quiet", onclick: () => {
      const kinds = [];
      for (const row of rows) {
        if (!kinds.some((one) => one.kind === row.kind && one.rail === row.rail)) {
          const { x, y, name, ...rest } = row;
          kinds.push(rest);
        }
      }
      tables.fastening = kinds;
      changed();
    } }, "Place them by rule again"));
}

export function adapt() {
  const box = byId(idOf(["piece", "board_width"]));
  if (box) { box.closest(".field").hidden = (state.tables.base || {}).layout !== "floor between walls"; }
}

export function show(choices, changed, rebuilt) {
  const tables = state.tables, at = document.activeElement && document.activeElement.id;
  const rows = tables.fastening || [];
  const places = rows.length > 0 && rows.every((row) => "x" in row || "y" in row);
  const wood = get(tables, ["piece", "wood"]);
  const of = (path, more) => text(tables, path, changed, more);
  const inch = state.units === "inch";
  byId("form").replaceChildren(
    datalist("woods", choices.woods), datalist("finishes", choices.finishes), datalist("cuts", choices.cuts),
    make("div", { class: "fields" },
      field("Name", of(["piece", "name"], { placeholder: "dining table" })),
      field("Wood", of(["piece", "wood"], { list: "woods", placeholder: typeof wood === "object" ? "own figures of the sheet" : "type to search: red oak" })),
      field("Cut", of(["piece", "cut"], { list: "cuts", placeholder: "flat-sawn" })),
      field("Width across the grain", of(["piece", "width"], { placeholder: inch ? "38 in" : "965 mm" }), "this is the way that moves"),
      field("Length along the grain", of(["piece", "length"], { placeholder: inch ? "72 in" : "1.8 m" })),
      field("Thickness", of(["piece", "thickness"], { placeholder: inch ? "7/8 in" : "22 mm" })),
      finish(tables, "show_face", "show face", choices, changed),
      finish(tables, "hidden_face", "hidden face", choices, changed),
      field("What it is", select(tables, ["base", "layout"], choices.layouts, changed, "I give its rails myself")),
      rails(tables, "rails_across_grain", "Rails across the grain", changed),
      rails(tables, "rails_along_grain", "Rails along the grain", changed),
      field("Fixed down on", day(tables, ["piece", "fixed_on"], changed)),
      field("Its moisture that day", of(["piece", "moisture_when_fixed"], { placeholder: "7.5 %" }), "else drop the shop's log too"),
      field("Measured by", select(tables, ["piece", "measured_by"], ["oven", "pin meter", "guess"], changed)),
      field("Width of its boards", of(["piece", "board_width"]))),
    make("h3", {}, "How it is held"),
    places ? placed(tables, rebuilt) : held(tables, choices, changed, rebuilt));
  adapt();
  if (at && byId(at) && byId("form").contains(byId(at))) { byId(at).focus(); }
}

export function faults(found) {
  for (const one of document.querySelectorAll("#form .wrong, #extras .wrong")) { one.textContent = ""; }
  for (const one of document.querySelectorAll("#form [aria-invalid]")) { one.removeAttribute("aria-invalid"); }
  const loose = [];
  for (const { place, says } of found) {
    const parts = place.split(".").map((one) => (/^\d+$/.test(one) ? Number(one) - 1 : one));
    const input = place && (byId(idOf(parts)) || byId(idOf(parts.slice(0, 2))));
    if (input && byId(`${input.id}-wrong`)) {
      byId(`${input.id}-wrong`).textContent = says;
      input.setAttribute("aria-invalid", "true");
    } else { loose.push(says); }
  }
  byId("faults").replaceChildren(...loose.map((says) => make("p", { class: "trouble" }, says)));
}

export function questions(open, answered) {
  byId("open").replaceChildren(...open.map((one, n) => make("fieldset", { class: "ask" }, make("legend", {}, one.asks),
    one.choices.length
      ? make("div", { class: "row" }, ...one.choices.map((choice) => make("button", { type: "button", class: "choice", onclick: () => answered(one.place, choice) }, choice)))
      : make("div", { class: "row" },
        make("input", { type: "text", id: `open-${n}`, placeholder: one.example, "aria-label": one.asks }),
        make("button", { type: "button", onclick: () => answered(one.place, byId(`open-${n}`).value.trim() || one.example) }, "Say so")))));
}

export function extras(choices, changed) {
  const { job, extras: given } = state;
  const has = (role) => state.logs.some((one) => one.role === role);
  const of = (key, more) => text(given, [key], changed, more);
  const crack = (key, more) => text(state.tables, ["crack", key], changed, more);
  const house = has("outdoor") ? [
    field("Kind of house", select(given, ["house"], choices.houses, changed, has("here") ? "go by the log" : "an ordinary home")),
    make("label", {}, make("input", { type: "checkbox", checked: "elsewhere" in given, onchange: (event) => { put(given, ["elsewhere"], event.target.checked ? "yes" : ""); changed(); } }), " the outdoor readings are of another place"),
  ] : [];
  const shown = {
    place: () => [make("p", { class: "small" }, "It goes by the log and the piece. A log of less than a year: drop the air outdoors too, and say so at the file."), ...house],
    room: () => [
      has("client") ? make("p", { class: "small" }, "What the room should hold is what the place the work goes to needs.") : field("Moisture the room should hold", of("target", { placeholder: "7 %" })),
      field("Try a humidity", of("try_rh", { placeholder: "35 %" })),
      field("Try a temperature", of("try_temp", { placeholder: state.units === "inch" ? "72 F" : "22 C" })),
      stock(choices, changed)],
    crack: () => [
      field("Crack first seen on", day(state.tables, ["crack", "seen"], changed)),
      field("Width of the gap then", crack("gap", { placeholder: "3 mm" })),
      field("Day it was delivered", day(state.tables, ["crack", "delivered"], changed)),
      ...house,
      make("h3", {}, "What was seen"),
      ...choices.signs.map((one) => field(one.name.replace(/-/g, " "), select(state.tables, ["crack", one.name], one.answers, changed, "not looked at"), one.ask))],
  };
  byId("extras").replaceChildren(...shown[job]());
}

function stock(choices, changed) {
  const tables = state.stock, boards = tables.board = tables.board || [];
  const row = (board, n) => make("div", { class: "rowcard", role: "group", "aria-label": `Board ${n + 1}` },
    field("Board", text(tables, ["board", n, "name"], changed, { placeholder: `board ${n + 1}` })),
    field("Wood", text(tables, ["board", n, "wood"], changed, { list: "woods" })),
    field("Cut", text(tables, ["board", n, "cut"], changed, { list: "cuts", placeholder: "flat-sawn" })),
    field("Thickness", text(tables, ["board", n, "thickness"], changed)),
    field("Moisture", text(tables, ["board", n, "moisture"], changed, { placeholder: "11 %" })),
    field("Measured on", day(tables, ["board", n, "measured_on"], changed)),
    field("Target", text(tables, ["board", n, "target"], changed, { placeholder: tables.stock && tables.stock.target || "7 %" })),
    make("label", {}, make("input", { type: "checkbox", checked: board.ends_sealed === true, onchange: (event) => { put(tables, ["board", n, "ends_sealed"], event.target.checked); changed(); } }), " ends sealed"),
    make("button", { type: "button", class: "quiet", "aria-label": `Take board ${n + 1} away`, onclick: () => { boards.splice(n, 1); changed(); extras(choices, changed); } }, "Take away"));
  return make("div", { id: "stock" }, make("h3", {}, "Stock that waits in it"), datalist("woods", choices.woods), datalist("cuts", choices.cuts), ...boards.map(row),
    make("button", { type: "button", class: "quiet", onclick: () => { boards.push({ name: `board ${boards.length + 1}` }); extras(choices, changed); changed(); } }, "Add a board"));
}
