// Drawing over a photo: touch it where the mark goes, or place it with the keys.
// The photo is not touched; what is sent are places on it, in percent.
const NS = "http://www.w3.org/2000/svg", edge = 160, line = 1.3, head = 9;
const form = () => document.querySelector("form[data-markup]");
const canvas = () => document.getElementById("canvas");
const size = () => { const c = canvas(), w = +c.dataset.w, h = +c.dataset.h, k = edge / Math.max(w, h, 1); return [w * k, h * k]; };
const get = name => { const v = parseFloat((form().elements[name].value || "").replace(",", ".")); return Number.isFinite(v) ? v : null; };
const within = v => Math.min(100, Math.max(0, v));
const set = (name, v) => { form().elements[name].value = v === null ? "" : String(Math.round(within(v) * 10) / 10); };
const shape = () => form().elements.shape.value;

function ready() {
  const f = form(), c = canvas();
  if (!f || !c || c.dataset.ready) return;
  c.dataset.ready = "yes";
  c.tabIndex = 0;
  c.setAttribute("role", "group");
  c.setAttribute("aria-label", "The photo. Arrow keys move the mark, plus and minus make it larger or smaller, R turns it.");
  f.querySelector("[data-hint]").hidden = false;
  show();
}

// tail is where an arrow comes from: as it was pulled, else from where there is room.
function tail() {
  const x = get("x"), y = get("y"), fx = get("fx"), fy = get("fy");
  if (fx !== null && fy !== null) return [fx, fy];
  return [x < 50 ? x + 20 : x - 20, y < 50 ? y + 20 : y - 20];
}

function el(name, attrs) {
  const e = document.createElementNS(NS, name);
  for (const [k, v] of Object.entries(attrs)) e.setAttribute(k, v);
  return e;
}

// show draws the mark as it will be, with what it is held by.
function show() {
  const f = form(), pane = canvas()?.querySelector(".pane");
  if (!f || !pane) return;
  pane.querySelector(".preview")?.remove();
  const kind = shape(), x = get("x"), y = get("y");
  const turns = f.querySelector("[data-turns]");
  turns.hidden = x === null || kind !== "arrow" && kind !== "circle";
  turns.querySelector("[data-do=turn]").hidden = kind !== "arrow";
  if (x === null || y === null) return;
  const [w, h] = size(), px = x * w / 100, py = y * h / 100;
  const svg = el("svg", { class: "drawing preview", viewBox: `0 0 ${w} ${h}`, "aria-hidden": "true", fill: "none" });
  const stroke = (name, attrs) => svg.append(el(name, { ...attrs, class: "paper", "stroke-width": line * 2.6 }), el(name, { ...attrs, class: "accent", "stroke-width": line }));
  let hold = [px, py];
  if (kind === "arrow") {
    const [tx, ty] = tail(), qx = tx * w / 100, qy = ty * h / 100, a = Math.atan2(qy - py, qx - px);
    const wing = by => `${px + head * Math.cos(a + by)} ${py + head * Math.sin(a + by)}`;
    stroke("path", { d: `M${qx} ${qy}L${px} ${py}M${wing(.42)}L${px} ${py}L${wing(-.42)}` });
    hold = [qx, qy];
  } else if (kind === "circle") {
    const r = (get("r") || 10) * w / 100;
    stroke("circle", { cx: px, cy: py, r });
    hold = [px + r, py];
  } else stroke("circle", { cx: px, cy: py, r: 2.4 });
  if (kind === "arrow" || kind === "circle") svg.append(el("circle", { class: "handle", cx: hold[0], cy: hold[1], r: 24 * w / Math.max(pane.clientWidth, 1) }));
  pane.append(svg);
}

const at = e => {
  const r = canvas().querySelector("img").getBoundingClientRect();
  return [within((e.clientX - r.left) / r.width * 100), within((e.clientY - r.top) / r.height * 100)];
};

function place(e) {
  const [x, y] = at(e);
  set("x", x);
  set("y", y);
  set("fx", null);
  set("fy", null);
  show();
}

// pull moves the far end of an arrow, or the rim of a circle.
function pull(e) {
  const [x, y] = at(e), [w, h] = size();
  if (shape() === "arrow") { set("fx", x); set("fy", y); }
  if (shape() === "circle") set("r", Math.min(50, Math.max(2, Math.hypot((x - get("x")) * w, (y - get("y")) * h) / w)));
  show();
}

function change(what) {
  if (get("x") === null) return;
  const by = { more: 1.25, less: .8 }[what];
  if (shape() === "circle" && by) set("r", Math.min(50, Math.max(2, (get("r") || 10) * by)));
  if (shape() === "arrow") {
    const [w, h] = size(), [tx, ty] = tail();
    let dx = (tx - get("x")) * w, dy = (ty - get("y")) * h;
    if (by) { dx *= by; dy *= by; }
    if (what === "turn") [dx, dy] = [(dx - dy) * Math.SQRT1_2, (dx + dy) * Math.SQRT1_2];
    set("fx", get("x") + dx / w);
    set("fy", get("y") + dy / h);
  }
  show();
}

let pulling = false;
document.addEventListener("pointerdown", e => {
  const c = e.target.closest?.("#canvas");
  if (!c || !form() || e.button) return;
  const held = e.target.closest(".handle");
  if (e.pointerType === "touch" && !held) return; // a tap places it, and the page still scrolls
  e.preventDefault();
  c.focus({ preventScroll: true });
  pulling = true;
  if (!held) place(e);
});
document.addEventListener("pointermove", e => {
  if (!pulling || !canvas()) return;
  const [x, y] = at(e);
  if (Math.hypot(x - get("x"), y - get("y")) > 3) pull(e);
});
for (const end of ["pointerup", "pointercancel"]) document.addEventListener(end, () => { pulling = false; });
document.addEventListener("touchmove", e => { if (pulling) e.preventDefault(); }, { passive: false });
document.addEventListener("click", e => {
  const b = e.target.closest?.("[data-do]");
  if (b && form()?.contains(b)) { change(b.dataset.do); return; }
  if (e.target.closest?.("#canvas .pane") && form() && e.pointerType === "touch" && !e.target.closest(".handle")) place(e);
});
document.addEventListener("input", e => { if (form()?.contains(e.target)) show(); });
document.addEventListener("keydown", e => {
  if (document.activeElement !== canvas() || !form() || e.ctrlKey || e.metaKey || e.altKey) return;
  const step = e.shiftKey ? 5 : 1, moves = { ArrowLeft: [-step, 0], ArrowRight: [step, 0], ArrowUp: [0, -step], ArrowDown: [0, step] }[e.key];
  const does = { "+": "more", "=": "more", "-": "less", r: "turn", R: "turn" }[e.key];
  if (moves) {
    const from = get("fx") === null ? null : tail();
    set("x", (get("x") ?? 50) + moves[0]);
    set("y", (get("y") ?? 50) + moves[1]);
    if (from) { set("fx", from[0] + moves[0]); set("fy", from[1] + moves[1]); }
    show();
  } else if (does) change(does);
  else return;
  e.preventDefault();
});
addEventListener("resize", show);

ready();
new MutationObserver(ready).observe(document.body, { childList: true, subtree: true });
