// Station 1: files dropped or chosen, what was found in each, and what a file leaves open.

import { ask, upload, Refused } from "./api.js";
import { byId, draw, make } from "./dom.js";
import { state } from "./state.js";

const ROLES = {
  here: "the room itself",
  shop: "the shop it was made in",
  outdoor: "the air outdoors",
  client: "the place the work goes to",
  second: "a second logger in the room",
};
const MINE = {
  place: ["here", "shop", "outdoor"], crack: ["here", "shop", "outdoor"], room: ["here", "client", "second"],
};
const LARGEST = 256 * 2 ** 20;

export async function take(files, tell, onSheet) {
  for (const one of files) {
    try {
      if (one.name.toLowerCase().endsWith(".toml")) {
        onSheet(await ask("sheet", { name: one.name, text: await one.text() }), one.name);
        continue;
      }
      if (one.size > LARGEST) { throw new Refused(`${one.name}: too large: a log may have 256 MB`); }
      byId("logs").setAttribute("aria-busy", "true");
      const kept = await upload(one);
      state.logs.push({ ...kept, role: "here" });
    } catch (error) {
      tell(error.message);
    }
  }
  byId("logs").removeAttribute("aria-busy");
}

export async function look(body, changed) {
  const found = state.logs.length ? await ask("look", body) : { files: {}, questions: [], error: "" };
  for (const one of state.logs) { one.found = found.files[one.key] || {}; }
  state.open = found.questions;
  show(changed, found.error);
  const ready = !found.questions.length && !found.error && !state.logs.some((one) => one.found.error);
  return ready;
}

export function show(changed, error = "") {
  const roles = MINE[state.job];
  byId("logs").replaceChildren(
    ...state.logs.map((one) => card(one, roles, changed)),
    error ? make("p", { class: "trouble" }, error) : "",
  );
  byId("questions").replaceChildren(...(state.open || []).map((one, n) => asked(one, n, changed)));
}

function card(one, roles, changed) {
  const found = one.found || {};
  const choose = make("select", { id: `role-${one.key}`, onchange: (event) => { one.role = event.target.value; changed(); } },
    ...[...new Set([...roles, one.role])].map((role) => make("option", { value: role, selected: role === one.role }, ROLES[role])));
  const away = make("button", {
    type: "button", class: "quiet", "aria-label": `Take ${one.name} off the page`,
    onclick: async () => {
      state.logs = state.logs.filter((other) => other !== one);
      state.how.for_files = state.how.for_files.filter((other) => other.file !== one.name);
      if (!state.logs.length) { state.how = { for_files: [] }; }
      await ask("forget", { key: one.key });
      changed();
    },
  }, "Take away");
  const doubts = found.doubts || [];
  return make("article", { class: "logcard", "aria-label": `Log ${one.name}` },
    make("h3", {}, one.name),
    make("div", { class: "row" }, make("label", { for: `role-${one.key}` }, "It tells of "), choose, away),
    found.error ? make("p", { class: "trouble" }, found.error) : "",
    found.open ? make("p", { class: "small" }, "It leaves something open: see below.") : "",
    found.says ? make("p", { class: "found" }, found.says) : "",
    ...(found.sensors || []).map((sensor) => picture(sensor, (found.sensors || []).length > 1)),
    doubts.length ? make("details", {}, make("summary", {}, `${doubts.length} to look at`), make("ul", {}, ...doubts.map((line) => make("li", {}, line)))) : "",
    found.guesses && found.guesses.length
      ? make("details", {}, make("summary", {}, "How it was read"),
        make("ul", {}, ...(found.facts || []).map((row) => make("li", {}, `${row[0]}: ${row[1]}`)), ...found.guesses.map((line) => make("li", {}, line))))
      : "");
}

function picture(sensor, named) {
  return make("figure", { class: "small-air" },
    named ? make("figcaption", {}, sensor.name) : "",
    draw("svg", { viewBox: "-34 0 260 44", role: "img", "aria-label": sensor.says },
      draw("path", { class: "humidity", d: sensor.line }),
      draw("text", { x: -4, y: 10, "text-anchor": "end" }, sensor.high),
      draw("text", { x: -4, y: 42, "text-anchor": "end" }, sensor.low)));
}

function asked(one, number, changed) {
  return make("fieldset", { class: "ask" }, make("legend", {}, one.problem),
    ...one.choices.map((choice) => make("button", {
      type: "button", class: "choice", onclick: () => { settle(one, choice); changed(); },
    }, make("strong", {}, choice.says), ...choice.rows.map((row) => make("span", {}, row)))));
}

function settle(question, choice) {
  const log = state.logs.find((one) => one.key === question.key);
  for (const [option, value] of Object.entries(choice.options)) {
    const file = choice.file || (log && log.role !== "here" ? log.name : "");
    if (!file) { state.how[option] = value; continue; }
    state.how.for_files = state.how.for_files.filter((one) => one.file !== file || one.option !== option);
    for (const each of Array.isArray(value) ? value : [value]) {
      state.how.for_files.push({ file, option, value: each });
    }
  }
}
