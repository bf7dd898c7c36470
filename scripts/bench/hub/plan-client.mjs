/**
 * The clients of a watched hub, in a process of their own so that what they do does not hold the
 * hub's loop: a lead's requests over HTTP, and sockets of rigs that hear the events.
 */
import { io } from "socket.io-client";

/** Requests that are ready to be sent, by name: made before the hub's loop is watched. */
const ready = new Map();
let token = "";
let url = "";

process.on("message", async ({ id, what }) => {
  try {
    process.send?.({ id, result: await act(what) });
  } catch (error) {
    process.send?.({ id, error: String(error) });
  }
});

/** @param {Record<string, any>} what */
async function act(what) {
  switch (what.do) {
    case "sign in": {
      url = what.url;
      token = (await ask("POST", "/api/lead/session", JSON.stringify({ pin: what.pin }))).body.token;
      return {};
    }
    case "join": {
      const link = await ask("GET", `/api/rigs/${what.rigId}/link`);
      const rigs = [{ id: what.rigId, token: link.body.token }];
      return open({ role: "rig", rigs, deviceId: `phone-${what.rigId}`, protocol: what.protocol });
    }
    case "prepare":
      ready.set("request", what);
      return {};
    case "prepare plan": {
      // As a program does it that knows nothing of parts: the whole plan, read and put back.
      const read = await ask("GET", "/api/plan");
      const cue = read.body.rigs[what.rig].cues.find((/** @type {any} */ one) => one.id === what.cueId);
      cue.offsetS = what.offsetS;
      const headers = { "If-Match": read.etag };
      ready.set("request", { method: "PUT", path: "/api/plan", body: JSON.stringify(read.body), headers });
      return {};
    }
    case "prepare rig": {
      // As the lead's page does it: one rig, by its own revision.
      const path = `/api/plan/rigs/${what.rigId}`;
      const read = await ask("GET", path);
      const cue = read.body.rig.cues.find((/** @type {any} */ one) => one.id === what.cueId);
      cue.offsetS = what.offsetS;
      const body = JSON.stringify({ rig: read.body.rig });
      ready.set("request", { method: "PUT", path, body, headers: { "If-Match": read.etag } });
      return {};
    }
    case "prepare move": {
      const read = await ask("GET", "/api/plan/site");
      const site = { ...read.body.site, latDeg: what.latDeg };
      const body = JSON.stringify({ ...read.body, site });
      const headers = { "If-Match": read.etag };
      ready.set("request", { method: "PUT", path: "/api/plan/site", body, headers });
      return {};
    }
    case "order": {
      const body = JSON.stringify({ id: what.id, order: what.order });
      ready.set("request", { method: "POST", path: "/api/orders", body, headers: {} });
      return {};
    }
    case "lead comes in":
      return open({ role: "lead", token, deviceId: `laptop-${what.n}`, protocol: what.protocol });
    case "read": {
      // As it comes, and let go: what is read may be longer than memory.
      const response = await fetch(url + what.path, { headers: { Authorization: `Bearer ${token}` } });
      if (!response.ok) throw new Error(`${what.path}: ${response.status}`);
      let bytes = 0;
      for await (const part of response.body ?? []) bytes += part.byteLength;
      return { bytes };
    }
    case "go": {
      const { method, path, body, headers } = ready.get("request");
      const { status, tookMs } = await ask(method, path, body, headers);
      return { status, tookMs };
    }
    default:
      throw new Error(`cannot ${what.do}`);
  }
}

/**
 * @param {string} method
 * @param {string} path
 * @param {string} [body]
 * @param {Record<string, string>} [headers]
 */
async function ask(method, path, body, headers = {}) {
  const started = performance.now();
  const type = { "Content-Type": "application/json" };
  const signed = token ? { Authorization: `Bearer ${token}` } : undefined;
  const response = await fetch(url + path, { method, headers: { ...type, ...signed, ...headers }, body });
  const text = await response.text();
  if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${text.slice(0, 300)}`);
  const tookMs = performance.now() - started;
  return {
    status: response.status,
    body: JSON.parse(text),
    etag: response.headers.get("ETag") ?? "",
    tookMs,
  };
}

/** @param {Record<string, unknown>} auth */
function open(auth) {
  return new Promise((resolve, reject) => {
    const socket = io(url, { forceNew: true, reconnection: false, transports: ["websocket"], auth });
    socket.once("connect", () => resolve({}));
    socket.once("connect_error", reject);
  });
}
