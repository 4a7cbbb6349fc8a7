// What waits on this device. An entry is kept here before anything else happens
// to it, and goes only when the server has said that it is in its book. Its id is
// made with it, so that a second arrival is harmless; its number says in which
// order this device made its entries, and that is the order in which they go.

let opened;
function db() {
  return opened ??= new Promise((ok, no) => {
    const r = indexedDB.open("endfloat", 1);
    r.onupgradeneeded = () => {
      r.result.createObjectStore("out", { keyPath: "n", autoIncrement: true });
      r.result.createObjectStore("pages");
      r.result.createObjectStore("state");
    };
    r.onsuccess = () => ok(r.result);
    r.onerror = () => no(r.error);
  });
}

// within runs fn in one transaction and gives what it asked for once that is
// safely on the device.
async function within(name, mode, fn) {
  const d = await db();
  return new Promise((ok, no) => {
    const t = d.transaction(name, mode, { durability: "strict" });
    const asked = fn(t.objectStore(name));
    t.oncomplete = () => ok(asked?.result);
    t.onabort = t.onerror = () => no(t.error);
  });
}

// newID is a UUIDv7 (RFC 9562), made of what browsers have on plain http too.
function newID() {
  const b = crypto.getRandomValues(new Uint8Array(16));
  let t = Date.now();
  for (let i = 5; i >= 0; i--) { b[i] = t % 256; t = Math.floor(t / 256); }
  b[6] = b[6] & 15 | 112;
  b[8] = b[8] & 63 | 128;
  const h = [...b].map(x => x.toString(16).padStart(2, "0")).join("");
  return [h.slice(0, 8), h.slice(8, 12), h.slice(12, 16), h.slice(16, 20), h.slice(20)].join("-");
}

// keep puts what a form holds among what waits and gives its number.
export async function keep(form, about) {
  const e = { id: newID(), at: new Date().toISOString(), to: new URL(form.action).pathname, kind: form.dataset.fact, about, fields: [], photos: [], refused: "" };
  for (const [k, v] of new FormData(form)) {
    if (typeof v === "string") { if (k !== "id") e.fields.push([k, v]); }
    else if (v.size) e.photos.push({ name: v.name || "photo.jpg", type: v.type, data: await v.arrayBuffer() });
  }
  return within("out", "readwrite", s => s.add(e));
}

export const all = () => within("out", "readonly", s => s.getAll());
export const drop = n => within("out", "readwrite", s => s.delete(n));

// mark notes why an entry was refused, or "" to have it sent again.
export async function mark(n, refused) {
  const e = await within("out", "readonly", s => s.get(n));
  if (e) await within("out", "readwrite", s => s.put({ ...e, refused }));
}

// Only one page of this device sends at a time, or order would be lost. Who sends
// holds a lease that runs out by itself when its page is closed.
const mine = newID(), lease = 1600;
async function lead() {
  const d = await db();
  return new Promise((ok, no) => {
    const t = d.transaction("state", "readwrite"), s = t.objectStore("state"), r = s.get("sender");
    let got = false;
    r.onsuccess = () => {
      const now = Date.now(), at = r.result;
      got = !at || at.who === mine || at.until < now || at.until > now + 2 * lease;
      if (got) s.put({ who: mine, until: now + lease }, "sender");
    };
    t.oncomplete = () => ok(got);
    t.onerror = t.onabort = () => no(t.error);
  });
}
async function cede() {
  const d = await db();
  return new Promise((ok, no) => {
    const t = d.transaction("state", "readwrite"), s = t.objectStore("state"), r = s.get("sender");
    r.onsuccess = () => { if (r.result?.who === mine) s.delete("sender"); };
    t.oncomplete = () => ok();
    t.onerror = t.onabort = () => no(t.error);
  });
}

// post sends one entry: {taken: where to go on}, {refused, page} or {later}.
async function post(e) {
  const body = new FormData();
  for (const [k, v] of e.fields) body.append(k, v);
  body.append("id", e.id);
  body.append("n", e.n);
  body.append("at", e.at);
  let size = 0;
  for (const p of e.photos) { size += p.data.byteLength; body.append("photo", new Blob([p.data], { type: p.type }), p.name); }
  const r = await fetch(e.to, { method: "POST", body, headers: { Outbox: "1" }, redirect: "manual", signal: AbortSignal.timeout(15000 + size / 20) });
  if (r.status === 204) return { taken: r.headers.get("Goes-To") };
  if (r.status === 401) return { later: "This device is not paired any more. What waits stays here; save it to a file for the owner." };
  if (r.status === 409 || r.status === 429 || r.status >= 500 || r.status < 400) return { later: "The server could not take an entry yet." };
  return { refused: decodeURIComponent(r.headers.get("Refused") ?? "") || "It was refused.", page: await r.text() };
}

const watching = new Map(); // number → what to do when its fate is known
let busy = false, pause = 0, again;
let told = () => { };

// watch has fn called with every change: {count, refused, away, says}.
export function watch(fn) { told = fn; }

export async function count() {
  const es = await all();
  return { count: es.filter(e => !e.refused).length, refused: es.filter(e => e.refused).length };
}

async function tell(more) { told({ ...await count(), ...more }); }

// fate resolves to what became of an entry, or to nothing after so many ms.
export function fate(n, ms) {
  return new Promise(ok => {
    watching.set(n, ok);
    setTimeout(() => { if (watching.delete(n)) ok(null); }, ms);
  });
}

// A page that is left gives the lease up, so that the next one need not wait for it.
addEventListener("pagehide", () => { if (busy) cede().catch(() => { }); });

// send empties the box, in order, for as long as the server takes what it gets.
export async function send() {
  if (busy) return;
  busy = true;
  clearTimeout(again);
  let beat, more = {};
  const release = () => { clearInterval(beat); beat = null; return cede().catch(() => { }); };
  try {
    for (;;) {
      const e = (await all()).find(e => !e.refused);
      if (!e) { pause = 0; break; }
      if (!await lead()) { more.wait = lease / 2; break; }
      beat ??= setInterval(lead, lease / 4);
      const r = await post(e);
      more = { away: false };
      if (r.later) { more.says = r.later; more.wait = pause = Math.min(Math.max(pause * 1.5, 1000), 5000); break; }
      const ok = watching.get(e.n);
      watching.delete(e.n);
      if (r.taken || ok) await drop(e.n);
      else await mark(e.n, r.refused);
      if (!(await all()).some(e => !e.refused)) await release(); // what follows leaves this page for the next
      ok?.(r);
      pause = 0;
      await tell(more);
    }
  } catch {
    more = { away: true, wait: pause = Math.min(Math.max(pause * 1.5, 1000), 4000) };
    for (const [n, ok] of watching) { watching.delete(n); ok(null); }
  }
  if (beat) await release();
  busy = false;
  await tell(more);
  if (more.wait) again = setTimeout(send, more.wait);
}

// file is everything that waits, one entry a line.
export async function file(who, device) {
  const parts = [JSON.stringify({ "endfloat waiting": 1, who, device }) + "\n"];
  for (const e of await all()) {
    const photos = [];
    for (const p of e.photos) photos.push({ name: p.name, data: await base64(p.data) });
    parts.push(JSON.stringify({ n: e.n, id: e.id, at: e.at, to: e.to, fields: e.fields, photos }) + "\n");
  }
  return new Blob(parts, { type: "application/octet-stream" });
}

function base64(data) {
  return new Promise((ok, no) => {
    const r = new FileReader();
    r.onload = () => ok(r.result.slice(r.result.indexOf(",") + 1));
    r.onerror = () => no(r.error);
    r.readAsDataURL(new Blob([data]));
  });
}

// Pages that are wanted when the server is away.
const fresh = 10 * 60 * 1000;
export const page = path => within("pages", "readonly", s => s.get(path)).then(p => p?.html);
async function fetchPage(path) {
  const old = await within("pages", "readonly", s => s.get(path));
  if (old && Date.now() - old.at < fresh) return old.html;
  const r = await fetch(path, { headers: { Accept: "text/html" } });
  if (!r.ok) return "";
  const html = await r.text();
  await within("pages", "readwrite", s => s.put({ html, at: Date.now() }, path));
  await new Promise(f => setTimeout(f, 25)); // the person at the bench comes first
  return html;
}

// stock fetches the questions of a job beforehand.
export async function stock(base) {
  for (const p of ["/strip", "/read", "/note", "/receive", "/clean", "/look", "/rings"]) {
    const box = new DOMParser().parseFromString(await fetchPage(base + p), "text/html");
    for (const a of box.querySelectorAll("a[href]")) {
      const to = a.getAttribute("href");
      if (to.startsWith(base + "/strip?pos=") || to.startsWith(base + "/read/one?what=") || to.startsWith(base + "/receive/") || to.startsWith(base + "/look/")) await fetchPage(to);
    }
  }
}

// forget empties what is only a copy; what waits stays.
export const forget = () => within("pages", "readwrite", s => s.clear());
