// What the page asks of the desk, and what it says when the desk does not answer.

const base = new URL(".", window.location.href);

export class Refused extends Error {}
export class Gone extends Error {}

const GONE = "The desk has stopped: start it again with climlog desk. What you filled in is still here; save the sheet before you close this page.";

// Two answers at once are taken on; a third waits here till there is room.
const AGAIN_MS = 400, MOST_TRIES = 100;

async function sent(path, options, tries = 0) {
  let reply;
  try {
    reply = await fetch(new URL(path, base), { method: "POST", ...options });
  } catch (error) {
    if (error.name === "AbortError") { throw error; }
    throw new Gone(GONE);
  }
  if (reply.ok) { return reply; }
  if (reply.status === 503 && tries < MOST_TRIES) {
    await new Promise((done) => setTimeout(done, AGAIN_MS));
    if (options.signal && options.signal.aborted) { throw new DOMException("superseded", "AbortError"); }
    return sent(path, options, tries + 1);
  }
  let says = `the desk refused that (${reply.status})`;
  try {
    says = (await reply.json()).error || says;
  } catch (error) {
    if (reply.status === 413) { says = "too large: a log may have 256 MB"; }
  }
  throw new Refused(says);
}

export async function ask(what, body, signal) {
  const reply = await sent(`ask/${what}`, {
    headers: { "Content-Type": "application/json" }, body: JSON.stringify(body), signal,
  });
  return reply.json();
}

export async function file(body) {
  const reply = await sent("ask/save", {
    headers: { "Content-Type": "application/json" }, body: JSON.stringify(body),
  });
  return { name: decodeURIComponent(reply.headers.get("X-File-Name") || "answer"), content: await reply.blob() };
}

export async function upload(log) {
  const form = new FormData();
  form.append("log", log, log.name);
  return (await sent("logs", { body: form })).json();
}
