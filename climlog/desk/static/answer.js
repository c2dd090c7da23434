// Station 4: the answer, changes to take with one click, and what can be saved.

import { file, Gone } from "./api.js";
import { byId, make, save } from "./dom.js";
import { readable } from "./readings.js";
import { question, state } from "./state.js";
import { sheetText } from "./toml.js";

let last = null;

export function show(found, onTake) {
  last = found;
  byId("block").innerHTML = found.html; // markup of the desk's own templates, every text in it escaped
  readable(byId("block"));
  byId("state").textContent = `${found.verdict}: ${found.says}`;
  byId("state").classList.add("spoken");
  byId("changes").replaceChildren(...(found.changes.length ? [
    make("h3", {}, state.tables.fastening ? "What would hold: take one, and see" : "Fastenings that would hold"),
    make("ul", { class: "changes" }, ...found.changes.map((one, n) => make("li", {},
      make("p", {}, one.says),
      make("button", { type: "button", "aria-label": `Take this change: ${one.short}`, "data-change": n, onclick: () => onTake(one.tables) }, "Take this change"))))] : []));
  saves(found);
}

export function wait(says) {
  byId("answer").setAttribute("aria-busy", "true");
  byId("state").classList.remove("spoken");
  byId("state").textContent = says;
}

export function rest() { byId("answer").removeAttribute("aria-busy"); }

export function nothing(says) {
  last = null;
  rest();
  byId("block").replaceChildren();
  byId("changes").replaceChildren();
  sheetsAlone();
  byId("state").classList.remove("spoken");
  byId("state").textContent = says;
}

const button = (what, words) => make("button", { type: "button", "data-save": what, onclick: () => keep(what) }, words);

// Before there is an answer, what was filled in can be saved all the same.
function sheetsAlone() {
  const piece = Object.keys(state.tables.piece || {}).length > 0, stock = (state.stock.board || []).length > 0;
  byId("saves").hidden = !piece && !stock;
  byId("saves").replaceChildren(make("div", { class: "row" },
    piece ? button("sheet", "Save the sheet of the piece") : "", stock ? button("stock", "Save the sheet of the stock") : ""));
}

function saves(found) {
  byId("saves").hidden = false;
  byId("saves").replaceChildren(
    make("h3", {}, "Save"),
    make("div", { class: "row" },
      found.sheets.piece && state.job !== "room" ? button("sheet", "Sheet of the piece") : "",
      found.sheets.stock && state.job === "room" ? button("stock", "Sheet of the stock") : "",
      button("page", "Full page"), button("json", "Numbers (JSON)"),
      found.has_drawing ? button("drawing", "Setting-out drawing (PDF)") : "",
      found.has_letter ? button("letter", "Letter to the client") : ""),
    make("p", { class: "small", id: "command-says" }, "The same answer from the command line, in the folder of these files:"),
    make("div", { class: "row" }, make("code", { id: "command", tabindex: 0 }, found.command),
      make("button", { type: "button", class: "quiet", id: "copy", onclick: copy }, "Copy")));
}

async function copy() {
  try {
    await navigator.clipboard.writeText(last.command);
    byId("copy").textContent = "Copied";
  } catch {
    const range = document.createRange();
    range.selectNodeContents(byId("command"));
    getSelection().removeAllRanges();
    getSelection().addRange(range);
    byId("copy").textContent = "Chosen: press Ctrl-C";
  }
}

async function keep(what) {
  try {
    const { name, content } = await file({ ...question(), what });
    save(name, content);
  } catch (error) {
    const tables = { sheet: state.tables, stock: state.stock }[what];
    if (error instanceof Gone && tables) {
      save(`${what}.toml`, new Blob([sheetText(tables)], { type: "application/toml" }));
    }
    byId("trouble").hidden = false;
    byId("trouble").textContent = error.message;
  }
}
