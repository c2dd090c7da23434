// The page: what was changed leads to what is asked again, in order.

import { ask, Gone } from "./api.js";
import { byId, later } from "./dom.js";
import { question, state } from "./state.js";
import * as answers from "./answer.js";
import * as form from "./form.js";
import * as logs from "./logs.js";
import * as plan from "./plan.js";

let choices = null, logsReady = false, pieceReady = false, asking = null, turn = 0;

function tell(says) {
  byId("trouble").hidden = !says;
  byId("trouble").textContent = says || "";
}

async function guarded(work) {
  try { return await work(); } catch (error) {
    if (error.name !== "AbortError") { tell(error.message); }
    if (error instanceof Gone) { answers.rest(); byId("state").textContent = error.message; }
    return null;
  }
}

// A room needs a piece only where its work goes to a place of its own.
function stations() {
  const needed = state.job !== "room" || state.logs.some((one) => one.role === "client");
  document.body.dataset.piece = needed ? "yes" : "no";
}

async function logsChanged() {
  tell("");
  stations();
  form.extras(choices, extrasChanged);
  logsReady = Boolean(await guarded(() => logs.look(question(), logsChanged)));
  answer();
}

// A field says itself what it holds: only what adds or takes fields away builds the form anew,
// else the one that somebody is just going to would be gone.
function rebuilt() {
  form.show(choices, pieceChanged, rebuilt);
  return pieceChanged();
}

async function pieceChanged() {
  const now = ++turn;
  form.adapt();
  const found = await guarded(() => ask("piece", { tables: state.tables }));
  if (found && now === turn) { piece(found); }
}

function piece(found) {
  const begun = Object.keys(state.tables.piece || {}).length > 0;
  form.faults(begun ? found.faults.filter((one) => one.says && !/ is missing[:;]/.test(one.says)) : []);
  pieceReady = Boolean(found.piece);
  if (found.piece) {
    plan.show(found.piece, edit, choices);
    form.questions(found.open, (place, value) => edit({ what: "answer", place, value }));
  } else { plan.show(null); form.questions([], () => {}); }
  const assumed = found.assumed || [];
  byId("assumed").hidden = !assumed.length;
  byId("assumed").querySelector("ul").replaceChildren(...assumed.map((says) => Object.assign(document.createElement("li"), { textContent: says })));
  answer();
}

async function edit(done) {
  const now = ++turn;
  tell("");
  const found = await guarded(() => ask("edit", { tables: state.tables, edit: done, units: state.units }));
  if (!found || now !== turn) { pieceChanged(); return; }
  state.tables = found.tables;
  form.show(choices, pieceChanged, rebuilt);
  piece(found);
}

function extrasChanged() {
  if (state.job === "crack") { pieceChanged(); } else { answer(); }
}

function lacking() {
  const here = state.logs.some((one) => one.role === "here"), outdoor = state.logs.some((one) => one.role === "outdoor");
  if (!state.logs.length) { return "Choose the log of the room; the answer appears here by itself."; }
  if (!logsReady) { return "Settle what the logs leave open, at the first station."; }
  if (!here && (state.job === "room" || !outdoor)) { return "None of the logs is of the room itself."; }
  if (state.job !== "room" && !pieceReady) { return "Describe the piece: its wood, width and thickness, and what it is."; }
  if (state.job === "crack" && !(state.tables.crack || {}).seen) { return "Say when the crack was first seen."; }
  return "";
}

const answer = later(async () => {
  if (asking) { asking.abort(); asking = null; }
  const lacks = lacking();
  if (lacks) { answers.nothing(lacks); return; }
  const mine = asking = new AbortController();
  answers.wait("Working it out …");
  try {
    const found = await ask("answer", question(), mine.signal);
    if (mine !== asking) { return; }
    tell("");
    answers.show(found, (tables) => { state.tables = tables; rebuilt(); });
  } catch (error) {
    if (error.name === "AbortError" || mine !== asking) { return; }
    if (error instanceof Gone) { tell(error.message); }
    answers.nothing(error.message);
  }
  answers.rest();
}, 120);

function sheet(found) {
  if (found.sort === "stock") {
    state.stock = found.tables;
    byId("job").querySelector("[value=room]").click();
    form.extras(choices, extrasChanged);
  } else {
    state.tables = found.tables;
    form.extras(choices, extrasChanged);
    rebuilt();
  }
}

async function dropped(files) {
  tell("");
  await logs.take([...files], tell, sheet);
  const said = byId("trouble").textContent;
  await logsChanged();
  tell(byId("trouble").textContent || said);
}

function begin() {
  byId("files").addEventListener("change", async (event) => { await dropped(event.target.files); event.target.value = ""; });
  for (const name of ["dragenter", "dragover"]) {
    document.addEventListener(name, (event) => { event.preventDefault(); byId("drop").classList.add("over"); });
  }
  document.addEventListener("dragleave", (event) => { if (!event.relatedTarget) { byId("drop").classList.remove("over"); } });
  document.addEventListener("drop", (event) => {
    event.preventDefault();
    byId("drop").classList.remove("over");
    dropped(event.dataTransfer.files);
  });
  byId("form").addEventListener("submit", (event) => event.preventDefault());
  byId("job").addEventListener("change", (event) => {
    state.job = event.target.value;
    stations();
    logs.show(logsChanged);
    form.extras(choices, extrasChanged);
    answer();
  });
  byId("units").addEventListener("change", (event) => { state.units = event.target.value; rebuilt(); logsChanged(); });
  byId("sample").addEventListener("click", () => guarded(async () => {
    const found = await ask("sample", {});
    state.logs = [{ key: found.key, name: found.name, role: "here" }];
    state.how = { for_files: [] };
    state.tables = found.tables;
    rebuilt();
    await logsChanged();
  }));
}

guarded(async () => {
  begin();
  state.units = byId("units").querySelector(":checked").value;
  state.job = byId("job").querySelector(":checked").value;
  choices = await ask("choices", {});
  form.show(choices, pieceChanged, rebuilt);
  form.extras(choices, extrasChanged);
  document.body.dataset.ready = "yes";
});
