// What is wrong with the page at hand as it stands: an array of sentences.
// wide is the width it is to fit, work the least size of a target within the work
// of a page at the bench, and 0 on other pages; large says that letters are twice as
// large.
(wide, work, large) => {
  const wrong = [];
  if (large && parseFloat(getComputedStyle(document.documentElement).fontSize) < 32) wrong.push("the letters did not grow");
  const name = e => {
    const text = (e.innerText ?? e.textContent ?? "").trim().replace(/\s+/g, " ").slice(0, 40) || e.name || e.getAttribute("aria-label") || "";
    return e.tagName.toLowerCase() + (e.id ? "#" + e.id : "") + (e.getAttribute("class") ? "." + e.getAttribute("class").trim().replace(/\s+/g, ".") : "") + " “" + text + "”";
  };
  const seen = e => e.checkVisibility({ visibilityProperty: true, opacityProperty: true });
  const scrolls = e => e.closest(".scroll");
  const svg = e => e.closest("svg");

  // Nothing is wider than the window.
  const w = document.documentElement.scrollWidth;
  if (w > wide + 1) {
    const far = [...document.querySelectorAll("body *")].filter(e => !scrolls(e) && !(svg(e) && e.tagName !== "svg") && e.getBoundingClientRect().right > wide + 1);
    wrong.push("the page is " + w + " px wide in a window of " + wide + ": " + far.filter(e => !far.some(f => f !== e && e.contains(f))).slice(0, 4).map(name).join(", "));
  }

  // Targets. A radio or a check box is as large as its label. Let off, as WCAG 2.2's
  // 2.5.8 does: a link within a sentence, whose size is that of the line; a part on a
  // drawing, which is as large as it is, and to which the page's list leads as well.
  for (const e of document.querySelectorAll("a[href], button, input:not([type=hidden]), select, textarea, summary, [role=button]")) {
    if (!seen(e) || svg(e)) continue;
    const tick = e.matches("[type=radio], [type=checkbox]") && e.closest("label");
    const r = (tick || e).getBoundingClientRect();
    if (!r.width || r.right <= 0) continue;
    if (e.tagName === "A" && getComputedStyle(e).display === "inline") {
      const around = e.closest("p, li, dd, td, th, div, h1, h2, h3, span:not(a span)");
      if (around && around.textContent.trim().length > e.textContent.trim().length + 3) continue;
    }
    const least = work && e.closest("main") ? work : 48;
    if (r.height < least - .5 || r.width < 47.5) wrong.push("a target of " + Math.round(r.width) + " by " + Math.round(r.height) + " px, wanted " + least + ": " + name(tick || e));
  }

  // Text keeps within what is drawn around it, and within the window.
  const range = document.createRange();
  const walk = document.createTreeWalker(document.body, NodeFilter.SHOW_TEXT);
  const told = new Set();
  for (let n; (n = walk.nextNode());) {
    const p = n.parentElement;
    if (!n.data.trim() || !seen(p) || p.closest("option, textarea, script, style, .skip")) continue;
    range.selectNodeContents(n);
    const r = range.getBoundingClientRect();
    if (!r.width || !r.height || r.right < 0) continue; // only for those who listen
    if (svg(p)) {
      const s = svg(p).getBoundingClientRect();
      const bare = r.height / 4; // above and below the letters
      if (r.left < s.left - 1 || r.right > s.right + 1 || r.top < s.top - bare || r.bottom > s.bottom + bare) wrong.push("text runs out of its drawing: “" + n.data.trim().slice(0, 40) + "”");
      continue;
    }
    if (!scrolls(p) && (r.right > wide + 1 || r.left < -1)) wrong.push("text leaves the window: “" + n.data.trim().slice(0, 40) + "” from " + Math.round(r.left) + " to " + Math.round(r.right));
    for (let e = p; e && e !== document.body; e = e.parentElement) {
      const c = getComputedStyle(e);
      if (c.display === "inline" || told.has(e)) continue;
      const framed = parseFloat(c.borderLeftWidth) && parseFloat(c.borderRightWidth) || e.matches("button, .act, .go");
      const cut = c.overflowX !== "visible" || c.overflowY !== "visible";
      if (!framed && !cut || e.matches(".scroll")) continue;
      const b = e.getBoundingClientRect();
      if (r.left < b.left - 1 || r.right > b.right + 1 || r.top < b.top - 2 || r.bottom > b.bottom + 2) {
        told.add(e);
        wrong.push("text " + (cut ? "is cut off" : "runs out") + " of " + name(e) + ": “" + n.data.trim().slice(0, 40) + "”");
      }
    }
  }

  // Nor is the text of a field; with large letters a field scrolls and a list opens.
  if (large) return [...new Set(wrong)];
  const pen = document.createElement("canvas").getContext("2d");
  for (const e of document.querySelectorAll("input:not([type=hidden]):not([type=radio]):not([type=checkbox]):not([type=file]):not([type=range]), select")) {
    if (!seen(e)) continue;
    const c = getComputedStyle(e);
    pen.font = c.fontStyle + " " + c.fontWeight + " " + c.fontSize + " " + c.fontFamily;
    const text = e.tagName === "SELECT" ? e.selectedOptions[0]?.text ?? "" : e.value || e.placeholder;
    const room = e.clientWidth - parseFloat(c.paddingLeft) - parseFloat(c.paddingRight) - (e.tagName === "SELECT" ? 16 : 0);
    const needs = pen.measureText(text).width;
    if (needs > room + 2) wrong.push("“" + text + "” needs " + Math.round(needs) + " px in a field of " + Math.round(room) + ": " + name(e));
  }
  return [...new Set(wrong)];
}
