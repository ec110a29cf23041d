// The service: requests and streams of events, with this browser's secret.

import { secret } from "./door.js";

/** A request that was refused: a problem document (RFC 9457). */
export class Problem extends Error {
  constructor(status, said) {
    super(said.detail || said.title || String(status));
    this.status = status;
    this.hint = said.hint;
    this.reason = said.reason;
  }
}

const fields = (more) => ({ authorization: `Bearer ${secret()}`, ...more });

/** Asks, and returns what is answered; `more` are further fields of the head. */
export async function ask(method, path, message, more = {}) {
  const body = message === undefined ? undefined : JSON.stringify(message);
  const headers = fields(body === undefined ? more : { ...more, "content-type": "application/json" });
  const answer = await fetch(path, { method, headers, body, cache: "no-store" });
  if (answer.status === 204) return null;
  const said = await answer.json().catch(() => ({}));
  if (!answer.ok) throw new Problem(answer.status, said);
  return said;
}

/** Asks for a text that is no message, such as a picture. */
export async function text(path) {
  const answer = await fetch(path, { headers: fields({}), cache: "no-store" });
  if (!answer.ok) throw new Problem(answer.status, {});
  return answer.text();
}

/** Sends a message that is answered with a file, such as a label or a sound, and returns that with what is remarked of it. */
export async function file(path, message, signal) {
  const headers = fields({ "content-type": "application/json" });
  const answer = await fetch(path, { method: "POST", headers, body: JSON.stringify(message), signal, cache: "no-store" });
  if (!answer.ok) throw new Problem(answer.status, await answer.json().catch(() => ({})));
  return { made: await answer.blob(), remarks: JSON.parse(answer.headers.get("tarehand-remarks-said") ?? "[]") };
}

/** How long without any news a stream may be before it is opened anew, in milliseconds. The service sends more often. */
const SILENCE = 20_000;
const AGAIN = [100, 250, 500, 1000];

/**
 * Listens to a stream of events for ever and opens it anew when it ends.
 *
 * Read by `fetch`, since an `EventSource` cannot show a secret. `heard(name, data)` gets every event, `state` is told `open`,
 * `lost`, and `refused` with the problem, after which it ends.
 */
export async function listen(path, heard, state) {
  for (let tries = 0; ; ) {
    const stop = new AbortController();
    let alarm = setTimeout(() => stop.abort(), SILENCE);
    try {
      const answer = await fetch(path, { headers: fields({ accept: "text/event-stream" }), signal: stop.signal, cache: "no-store" });
      if (answer.status === 401) return state("refused", answer.status);
      if (!answer.ok) throw new Problem(answer.status, {});
      state("open");
      tries = 0;
      for await (const event of events(answer.body)) {
        clearTimeout(alarm);
        alarm = setTimeout(() => stop.abort(), SILENCE);
        if (event.data) heard(event.name, JSON.parse(event.data));
      }
    } catch {
      // Whatever ended it, it is opened anew.
    }
    clearTimeout(alarm);
    state("lost");
    await new Promise((later) => setTimeout(later, AGAIN[Math.min(tries++, AGAIN.length - 1)]));
  }
}

/** Cuts a body into events (WHATWG HTML, section 9.2). */
async function* events(body) {
  const reader = body.pipeThrough(new TextDecoderStream()).getReader();
  let rest = "";
  for (;;) {
    const { value, done } = await reader.read();
    if (done) return;
    rest += value.replaceAll("\r\n", "\n");
    for (let end; (end = rest.indexOf("\n\n")) >= 0; rest = rest.slice(end + 2)) {
      const event = { name: "message", data: "" };
      for (const line of rest.slice(0, end).split("\n")) {
        const [, field, data] = /^([^:]*):? ?(.*)$/.exec(line);
        if (field === "event") event.name = data;
        if (field === "data") event.data += data;
      }
      yield event;
    }
  }
}
