// What makes the pages quicker. Every page works without it.

const version = new URL(import.meta.url).search;
const [outbox, wedge] = await Promise.all([import("./outbox.js" + version), import("./wedge.js" + version)]);

const $ = (q, from = document) => from.querySelector(q);
const all = (q, from = document) => [...from.querySelectorAll(q)];
const away = $("#away");

let message = ""; // what stands in the bar beside the count
const box = { count: 0, refused: 0, away: !navigator.onLine };

function tell(text) {
  message = text;
  bar();
}

// bar says how many entries wait, whether the server is there, and what else there is to say.
function bar() {
  if (!away) return;
  const says = [];
  if (box.away) says.push("The server is away.");
  if (box.count) says.push(box.count + (box.count === 1 ? " entry waits" : " entries wait") + " on this device and will go by " + (box.count === 1 ? "itself." : "themselves."));
  if (box.away && !isSecureContext) says.push("Leave this page open.");
  if (box.refused) says.push(box.refused + (box.refused === 1 ? " entry was refused: see why." : " entries were refused: see why."));
  if (message) says.push(message);
  const text = says.join(" ");
  away.hidden = !text;
  away.dataset.count = box.count;
  if (away.dataset.says === text) return;
  away.dataset.says = text;
  const line = document.createElement("span");
  line.textContent = text;
  away.replaceChildren(line);
  if (box.count || box.refused) {
    if (box.refused && !box.away) {
      const a = document.createElement("a");
      a.href = "/waiting"; a.className = "act quiet"; a.textContent = "See what waits";
      away.append(a);
    }
    const b = document.createElement("button");
    b.type = "button"; b.textContent = "Save to a file";
    b.addEventListener("click", save);
    away.append(b);
  }
}

// save hands over all that waits as a file, for the day the server cannot be reached.
async function save() {
  const blob = await outbox.file(document.body.dataset.who ?? "", document.body.dataset.device ?? "");
  const a = document.createElement("a");
  a.href = URL.createObjectURL(blob);
  a.download = "waiting-" + new Date().toISOString().slice(0, 16).replace(/[:T]/g, "-") + ".endfloat";
  a.click();
  setTimeout(() => URL.revokeObjectURL(a.href), 60000);
}

outbox.watch(news => {
  const was = box.away;
  Object.assign(box, news);
  if (news.says) message = news.says; else if (news.away === false) message = "";
  bar();
  list();
  if (was && box.away === false) refresh();
});

const waiting = new Set(); // forms on their way
let typed = 0; // when something was last typed
let dirty = false; // something is typed that is not sent

// setUp makes the parts of the page at hand quicker.
function setUp() {
  // Sums answer while they are typed.
  for (const form of all("form[data-sum]")) {
    let due, asked = 0;
    const ask = async () => {
      const q = new URLSearchParams([...new FormData(form)].filter(([k, v]) => typeof v === "string" && k !== "id"));
      const mine = ++asked;
      q.set("show", "result");
      try {
        const r = await fetch(form.dataset.sum + "?" + q);
        if (!r.ok || mine !== asked) return;
        const box = document.createElement("template");
        box.innerHTML = await r.text();
        const into = form.dataset.into ?? "#result";
        const fresh = box.content.querySelector(into);
        const old = $(into);
        if (!fresh || !old) return;
        const open = $("details", old)?.open;
        old.replaceWith(fresh);
        if (open && $("details", fresh)) $("details", fresh).open = true;
      } catch { /* the button still does the sum */ }
    };
    form.addEventListener("input", e => {
      const told = e.target.type === "range" && $(`label[for="${e.target.id}"] output`, form);
      if (told) told.textContent = (+e.target.value).toFixed(2);
      const unit = $(".symbol", e.target.closest(".in") ?? form);
      if (unit && e.target.closest(".in")) unit.hidden = /\p{L}/u.test(e.target.value);
      clearTimeout(due);
      due = setTimeout(ask, 200);
    });
  }

  // The list of sums shrinks to what is looked for.
  for (const field of all("input[data-filter]")) {
    field.addEventListener("input", () => {
      const words = field.value.toLowerCase().split(/\s+/).filter(Boolean);
      for (const li of all("[data-words]")) li.hidden = !words.every(w => li.dataset.words.toLowerCase().includes(w));
      for (const s of all("section", $(field.dataset.filter))) s.hidden = all("li", s).every(li => li.hidden);
    });
  }

  // Readings: Enter goes on to the next field and never sends; what a value is
  // taken for stands under it before it counts.
  for (const form of all("form[data-read]")) {
    const fields = all("input[name=value]", form);
    let last = { text: "", at: 0 };
    const show = async f => {
      const out = $("output", f.closest("label"));
      if (!f.value.trim()) { out.textContent = ""; return; }
      const q = new URLSearchParams({ what: form.elements.what.value, with: form.elements.with.value, text: f.value });
      try {
        const r = await (await fetch(form.dataset.read + "?" + q)).json();
        if (!f.value.trim()) return;
        out.textContent = r.ok ? "= " + r.says : r.says;
        out.classList.toggle("bad", !r.ok);
      } catch { out.textContent = ""; }
    };
    for (const f of fields) {
      let due;
      f.addEventListener("input", () => { clearTimeout(due); due = setTimeout(show, 200, f); });
      if (f.value) show(f);
    }
    form.elements.with.addEventListener("change", () => fields.forEach(show));
    const values = () => all("input[name=value]", form);
    const more = () => {
      const row = fields.at(-1).closest("label").cloneNode(true), f = $("input", row);
      f.value = ""; f.removeAttribute("value"); f.removeAttribute("autofocus");
      $("output", row).textContent = "";
      $(".n", row).textContent = values().length + 1;
      values().at(-1).closest("label").after(row);
      let due;
      f.addEventListener("input", () => { clearTimeout(due); due = setTimeout(show, 200, f); });
      return f;
    };
    wedge.readings(form, { fields: values, more, label: text => scanned(text, values()) });
    wedge.landing(values, more);
    keys(form, fields);
  }

  // A label: the photo goes as soon as it is taken, and where the browser reads
  // codes itself it needs none.
  for (const form of all("form[data-scan]")) {
    form.elements.photo.addEventListener("change", () => { if (form.elements.photo.files.length) form.requestSubmit(); });
    watch(form);
  }

  // A fact is kept on this device first and goes when the server is there.
  for (const form of all("form[data-fact]")) {
    form.addEventListener("submit", async e => {
      if (e.submitter?.formMethod === "get") return;
      e.preventDefault();
      if (waiting.has(form)) return;
      waiting.add(form);
      let n;
      try {
        n = await outbox.keep(form, $("h1")?.textContent.trim() ?? "");
      } catch {
        waiting.delete(form);
        form.submit(); // this browser keeps nothing: it goes at once or not at all
        return;
      }
      dirty = false;
      box.count++;
      bar();
      const known = box.away ? null : outbox.fate(n, 3000);
      outbox.send();
      const r = await known;
      waiting.delete(form);
      if (r?.refused) { replace(r.page); return; }
      if (r?.taken) { goOn(r.taken); return; }
      nextQuestion(form);
    });
  }

  // A decision waits for the server: nothing is recorded until it has answered.
  for (const form of all('form[method="post"]:not([data-fact])')) {
    form.addEventListener("submit", async e => {
      if (e.submitter?.formMethod === "get") return;
      const decision = "This waits for the server: nothing was recorded, and what is typed stays here. Press again when it is back.";
      if (box.away) { e.preventDefault(); tell(decision); return; }
      if (!("wait" in form.dataset)) return;
      e.preventDefault();
      if (waiting.has(form)) return;
      waiting.add(form);
      const data = new FormData(form, e.submitter);
      const body = form.enctype === "multipart/form-data" ? data : new URLSearchParams(data);
      try {
        const r = await fetch(form.action, { method: "POST", body, headers: { Accept: "text/html", Outbox: "1" } });
        tell("");
        dirty = false;
        waiting.delete(form); // or leaving would be asked about
        if (r.status === 204) {
          waiting.delete(form); // or leaving for the next page would be asked about
          goOn(r.headers.get("Goes-To"));
        } else replace(await r.text());
      } catch {
        box.away = true;
        tell(decision);
        outbox.send();
      } finally { waiting.delete(form); }
    });
  }

  // A code in the address goes to where it is typed without, and out of sight.
  for (const form of all("form[data-code]")) {
    const code = location.hash.slice(1);
    if (!code || $("#fault")) continue;
    history.replaceState(null, "", location.pathname);
    form.elements.code.value = code;
    form.requestSubmit();
  }

  list();
}

// goOn opens the page that comes after what was recorded.
function goOn(to) {
  const u = new URL(to || location.href, location.href);
  if (u.pathname === location.pathname && u.search === location.search) {
    history.replaceState(null, "", u);
    location.reload();
  } else location.assign(u);
}

// nextQuestion goes on while the entry of this one waits.
async function nextQuestion(form) {
  if (form.dataset.fact === "part off") {
    const waits = new Set((await outbox.all()).filter(e => e.to === new URL(form.action).pathname).map(e => e.fields.find(([k]) => k === "pos")?.[1]));
    for (const a of all('main a[href*="/strip?pos="]')) {
      const to = a.getAttribute("href");
      if (waits.has(new URL(to, location.href).searchParams.get("pos"))) continue;
      const html = await outbox.page(to);
      if (!html) continue;
      const place = form.elements.place?.value;
      replace(html);
      history.pushState(null, "", to);
      for (const w of all("main .warn")) w.hidden = true; // it says what came before, which waits here
      const field = $('main form[data-fact] [name=place]');
      if (field && place) field.value = place;
      scrollTo(0, 0);
      return;
    }
  }
  form.reset();
  for (const o of all("output", form)) o.textContent = "";
  for (const i of all('input[name="kept"], img.thumb', form)) i.remove();
  $("input[name=value], textarea, input:not([type=hidden])", form)?.focus();
  scrollTo(0, 0);
}

// scanned sees to a label that was scanned where a reading belongs.
function scanned(text, fields) {
  const tag = text.replace(/^\][A-Za-z]\d/, "");
  if (!/^https?:\/\/|\/T\/|^[A-Za-z]-[A-Za-z]*\d/.test(tag)) return false;
  if (fields.some(f => f.value && f.value.trim() !== text)) tell("A label was scanned, not a reading: " + tag + ". Record the readings first, then scan it again.");
  else {
    dirty = false;
    location.assign("/tag?" + new URLSearchParams({ tag, from: document.body.dataset.live ?? "" }));
  }
  return true;
}

// list shows what waits, on the page about it.
async function list() {
  const here = $("[data-outbox]");
  if (!here) return;
  const es = await outbox.all();
  const ul = document.createElement("ul");
  ul.className = "plain devices";
  for (const e of es) {
    const li = document.createElement("li"), says = document.createElement("span");
    says.textContent = e.n + ". " + (e.about || e.kind) + (e.photos.length ? ", " + e.photos.length + (e.photos.length === 1 ? " photo" : " photos") : "") + ", made " + new Date(e.at).toLocaleString() + (e.refused ? ". Refused: " + e.refused : "");
    li.append(says);
    if (e.refused) {
      const a = document.createElement("a");
      a.className = "act quiet"; a.textContent = "Type it anew";
      a.href = e.to + "?" + new URLSearchParams(e.fields);
      li.append(a, button("Send it again", async () => { await outbox.mark(e.n, ""); outbox.send(); }), button("Throw it away", async b => {
        if (b.dataset.sure) { await outbox.drop(e.n); outbox.send(); }
        b.dataset.sure = "yes"; b.textContent = "Really throw it away";
      }));
    }
    ul.append(li);
  }
  const h = document.createElement("h2");
  h.textContent = "On this device";
  const p = document.createElement("p");
  p.textContent = es.length ? "They go in this order as soon as the server is there." : "Nothing waits: all that was made here is in its book.";
  here.replaceChildren(h, p, ul);
}

function button(text, fn) {
  const b = document.createElement("button");
  b.type = "button"; b.textContent = text;
  b.addEventListener("click", () => fn(b));
  return b;
}

// watch looks through the camera until a label is in sight.
async function watch(form) {
  const eye = $("#eye", form);
  if (!eye || !("BarcodeDetector" in window) || !navigator.mediaDevices) return;
  try {
    const reader = new BarcodeDetector({ formats: ["qr_code"] });
    const film = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
    eye.srcObject = film;
    eye.hidden = false;
    await eye.play();
    for (;;) {
      const [code] = await reader.detect(eye);
      if (code) {
        for (const t of film.getTracks()) t.stop();
        location.assign(form.dataset.scan + "?" + new URLSearchParams({ tag: code.rawValue, from: form.elements.from.value }));
        return;
      }
      await new Promise(f => setTimeout(f, 150));
    }
  } catch { eye.hidden = true; } // a photo still does it
}

// Our own keys, where a finger is what types.
function keys(form, fields) {
  const pad = $("#pad", form);
  if (!pad || !matchMedia("(pointer: coarse)").matches) return;
  const unit = fields[0]?.dataset.unit ?? "";
  const units = unit === "mm" ? ["mm", "in", "thou"] : [];
  const face = ["7", "8", "9", "⌫", "4", "5", "6", "−", "1", "2", "3", "±", "0", ".", "next", ...units];
  const words = { "⌫": "delete the last", "−": "minus", "±": "plus or minus" };
  let at = fields[0];
  for (const f of fields) {
    f.inputMode = "none";
    f.addEventListener("focus", () => { at = f; });
  }
  for (const k of face) {
    const b = document.createElement("button");
    b.type = "button";
    b.textContent = k;
    b.className = k === "next" ? "half" : units.includes(k) ? "third" : "";
    if (words[k]) b.setAttribute("aria-label", words[k]);
    b.addEventListener("pointerdown", e => e.preventDefault()); // the field keeps the focus
    b.addEventListener("click", () => {
      if (k === "next") {
        const i = fields.indexOf(at);
        (fields[i + 1] ?? $(".go", form)).focus();
        return;
      }
      at.focus();
      if (k === "⌫") at.value = at.value.slice(0, -1).trimEnd();
      else at.value += /^[a-z±]/.test(k) ? " " + k + (k === "±" ? " " : "") : k;
      at.dispatchEvent(new Event("input", { bubbles: true }));
    });
    pad.append(b);
  }
  // They stand at the bottom of the window for as long as a reading is typed, and
  // leave room for its field above them.
  const shown = () => {
    pad.hidden = document.activeElement?.name !== "value";
    if (!pad.hidden) document.activeElement.scrollIntoView({ block: "nearest" });
  };
  form.addEventListener("focusin", shown);
  form.addEventListener("focusout", () => setTimeout(shown));
  shown();
}

// A refused form comes back as a page: it takes the place of this one.
function replace(html) {
  const page = new DOMParser().parseFromString(html, "text/html");
  const fresh = page.querySelector("main");
  if (!fresh) {
    tell(page.body.textContent.trim()); // refused at the door: what was typed stays
    return;
  }
  document.title = page.title;
  $("main").replaceWith(fresh);
  $("#fault")?.scrollIntoView({ block: "center" });
  setUp();
}

// Leaving with something on its way is asked about.
addEventListener("beforeunload", e => { if (waiting.size) e.preventDefault(); });

// An open page follows what others do, but never under somebody's hands: what is
// typed stays, and so does the place where the next key goes.
document.addEventListener("input", () => { dirty = true; typed = performance.now(); });
document.addEventListener("keydown", () => { typed = performance.now(); });

let stale, asked = 0;
async function refresh() {
  clearTimeout(stale);
  if (box.away || !document.body.dataset.live && !$("[data-poll]")) return;
  if (waiting.size || performance.now() - typed < 400) { stale = setTimeout(refresh, 400); return; }
  if (dirty || all("main details[open]").length) {
    tell("This has changed meanwhile. What you have typed stays; load the page again to see it.");
    return;
  }
  const mine = ++asked;
  let r, html;
  try {
    r = await fetch(location.href, { headers: { Accept: "text/html" } });
    html = await r.text();
  } catch { return; }
  if (mine !== asked) return;
  if (r.redirected && $("[data-poll]")) { location.assign(r.url); return; }
  if (!r.ok) { if (r.status === 401) location.reload(); return; }
  // From here to the end nothing else runs, so no key can fall between.
  if (dirty || waiting.size || performance.now() - typed < 400) { stale = setTimeout(refresh, 400); return; }
  const page = new DOMParser().parseFromString(html, "text/html"), main = page.querySelector("main");
  if (!main || main.innerHTML === $("main").innerHTML) return;
  const at = document.activeElement, name = at?.name, i = name ? all(`main [name="${name}"]`).indexOf(at) : -1, y = scrollY;
  for (const q of ["main", ".block", "footer"]) {
    const fresh = page.querySelector(q);
    if (fresh && $(q)) $(q).replaceWith(document.adoptNode(fresh));
  }
  setUp();
  if (i >= 0) all(`main [name="${name}"]`)[i]?.focus();
  scrollTo(0, y);
}

// A page that waits for somebody else looks again by itself.
setInterval(() => { if ($("[data-poll]") && !dirty) refresh(); }, 1000);

const book = document.body.dataset.live;
let heard = performance.now();
if (book) {
  const ear = new EventSource("/events?book=" + encodeURIComponent(book));
  const there = () => {
    heard = performance.now();
    if (box.away && navigator.onLine) outbox.send().then(() => { if (!box.count) { box.away = false; bar(); refresh(); } });
  };
  ear.onopen = there;
  ear.addEventListener("here", there);
  ear.onerror = () => { heard = -1e9; if (ear.readyState === 2) box.away = true; };
  ear.onmessage = () => { there(); refresh(); };
  setInterval(() => { // silence says that the network is gone before any page is lost to it
    if (performance.now() - heard > 13000 && !box.away) { box.away = true; bar(); }
  }, 2000);
}
addEventListener("offline", () => { box.away = true; bar(); });
addEventListener("online", async () => { await outbox.send(); if (!box.count) { box.away = false; bar(); refresh(); } });
document.addEventListener("visibilitychange", () => { if (!document.hidden) outbox.send(); });

// While the server is away a page is taken from this device, or not left at all.
async function fromHere(path) {
  const html = await outbox.page(path);
  if (html) replace(html);
  return !!html;
}
document.addEventListener("click", async e => {
  const a = e.target.closest?.("a[href]");
  if (!a || !box.away || e.defaultPrevented || a.target || a.origin !== location.origin || a.hash && a.pathname === location.pathname || a.download) return;
  e.preventDefault();
  const path = a.pathname + a.search;
  if (await fromHere(path)) { history.pushState(null, "", path); scrollTo(0, 0); }
  else tell("This page is not on this device: it waits until the server is back.");
});
addEventListener("popstate", async () => { if (!await fromHere(location.pathname + location.search) || !box.away) location.reload(); });

setUp();
$("#kept")?.scrollIntoView({ block: "center" }); // what was just recorded is in sight
await outbox.count().then(c => Object.assign(box, c)).catch(() => { });
bar();
outbox.send();

// The questions of this job are fetched beforehand.
if (document.body.dataset.ahead) setTimeout(() => outbox.stock(document.body.dataset.ahead).catch(() => { }), 800);

if (isSecureContext && navigator.serviceWorker) navigator.serviceWorker.register("/sw.js").catch(() => { });
if (isSecureContext && navigator.wakeLock && document.body.classList.contains("one")) {
  const awake = () => { if (!document.hidden) navigator.wakeLock.request("screen").catch(() => { }); };
  document.addEventListener("visibilitychange", awake);
  awake();
}
