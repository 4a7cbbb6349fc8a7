// What makes the pages quicker. Every page works without it.

const $ = (q, from = document) => from.querySelector(q);
const all = (q, from = document) => [...from.querySelectorAll(q)];
const away = $("#away");

function tell(text) {
  if (!away) return;
  away.textContent = text;
  away.hidden = !text;
}

const waiting = new Set(); // forms on their way
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
    form.addEventListener("keydown", e => {
      if (e.key !== "Enter" || e.target.tagName !== "INPUT" || e.target.type === "file") return;
      e.preventDefault();
      const f = e.target, i = fields.indexOf(f), now = Date.now();
      if (i < 0) return;
      if (f.value && f.value === last.text && now - last.at < 300) {
        $("output", f.closest("label")).textContent = "The same value twice within 0.3 s: did the gauge send it twice? Press Enter again if it is a reading of its own.";
        last = { text: "", at: 0 };
        return;
      }
      last = { text: f.value, at: now };
      if (fields[i + 1]) fields[i + 1].focus();
      else $(".go", form).focus();
    });
    keys(form, fields);
  }

  // A label: the photo goes as soon as it is taken, and where the browser reads
  // codes itself it needs none.
  for (const form of all("form[data-scan]")) {
    form.elements.photo.addEventListener("change", () => { if (form.elements.photo.files.length) form.requestSubmit(); });
    watch(form);
  }

  // A form is not lost when the server is away: it waits on this page, with all
  // that was typed, and goes as soon as the server is back. Its id makes a
  // second arrival harmless.
  for (const form of all("form[data-wait]")) {
    form.addEventListener("submit", async e => {
      if (e.submitter?.formMethod === "get") return;
      e.preventDefault();
      if (waiting.has(form)) return;
      waiting.add(form);
      const body = form.enctype === "multipart/form-data" ? new FormData(form) : new URLSearchParams(new FormData(form));
      for (let wait = 1000; ; wait = Math.min(wait * 2, 15000)) {
        try {
          const r = await fetch(form.action, { method: "POST", body, headers: { Accept: "text/html" } });
          waiting.delete(form);
          tell("");
          dirty = false;
          if (r.redirected) { location.assign(r.url); if (new URL(r.url).pathname === location.pathname && new URL(r.url).search === location.search) location.reload(); return; }
          replace(await r.text());
          return;
        } catch {
          tell("The server is away. " + waiting.size + (waiting.size === 1 ? " entry waits" : " entries wait") + " here and will go by itself; leave this page open.");
          await new Promise(f => setTimeout(f, wait));
        }
      }
    });
  }
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
  const face = ["7", "8", "9", "⌫", "4", "5", "6", "−", "1", "2", "3", "±", "0", ".", ...units.slice(0, 1), "next", ...units.slice(1)];
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
  pad.hidden = false;
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
$("#kept")?.scrollIntoView({ block: "center" }); // what was just recorded is in sight
}

// Leaving with something waiting is asked about.
addEventListener("beforeunload", e => { if (waiting.size) e.preventDefault(); });

// An open page follows what others do, but never under somebody's hands.
document.addEventListener("input", () => { dirty = true; });
const book = document.body.dataset.live;
if (book) {
  const ear = new EventSource("/events?book=" + encodeURIComponent(book));
  ear.onmessage = () => {
    if (waiting.size) return;
    if (!dirty && !all("details[open]").length) location.reload();
    else tell("This has changed meanwhile. What you have typed stays; load the page again to see it.");
  };
}

// A gauge that types with nothing focused lands in the first empty field.
document.addEventListener("keydown", e => {
  if (e.ctrlKey || e.metaKey || e.altKey || !/^[0-9.,+-]$/.test(e.key) || document.activeElement !== document.body) return;
  all("form[data-read] input[name=value]").find(f => !f.value)?.focus();
});

setUp();
$("#kept")?.scrollIntoView({ block: "center" }); // what was just recorded is in sight
