// Gauges and scanners that type like a keyboard. A gauge ends a value with Enter
// or Tab, with both, with two of them or with nothing at all, and types faster
// than anybody; nothing that it types may be lost or land in the wrong place.

const quick = 70; // ms between two keys of a gauge; people are slower
const both = 120; // ms between the two halves of a line end
const idle = 500; // ms after which a gauge that ends its values with nothing has begun the next
const twice = 300; // ms within which the same value is questioned

// readings makes the fields of a form of readings take what a gauge sends. fields
// gives those there are, more makes one more, label is told of a scanned label.
export function readings(form, { fields, more, label }) {
  let at = 0, run = 0, ended = 0, burst = null; // last key, quick keys in a row, last end, field of the last burst
  let last = { text: "", at: -1e9 };

  const next = f => {
    const all = fields();
    return all[all.indexOf(f) + 1];
  };
  const onward = f => (next(f) ?? form.querySelector(".go")).focus();

  // end is what Enter does in a field, and a gauge's Tab.
  const end = (f, now) => {
    const text = f.value.trim();
    if (label(text)) { f.value = ""; f.dispatchEvent(new Event("input", { bubbles: true })); return; }
    if (!text && now - ended < both) { ended = now; return; } // the second half of a line end
    ended = now;
    if (text && text === last.text && now - last.at < twice) {
      f.closest("label").querySelector("output").textContent = "The same value twice within 0.3 s: did the gauge send it twice? Press Enter again if it is a reading of its own.";
      last = { text: "", at: -1e9 };
      return;
    }
    last = { text, at: now };
    burst = null;
    onward(f);
  };

  // Some keyboards send the sign of Enter by itself: it never submits a reading.
  form.addEventListener("keypress", e => {
    if (e.key === "Enter" && (e.target.tagName === "INPUT" && e.target.type !== "file" || e.timeStamp - ended < both)) e.preventDefault();
  });
  form.addEventListener("pointerdown", () => { burst = null; });
  form.addEventListener("keydown", e => {
    const now = e.timeStamp, gap = now - at, f = e.target;
    const value = f.name === "value" && f.tagName === "INPUT";
    if (e.key === "Enter" && !value && now - ended < both) { // the rest of a line end, on the button
      ended = now;
      e.preventDefault();
      return;
    }
    if (e.key === "Enter" && f.tagName === "INPUT" && f.type !== "file") {
      e.preventDefault();
      if (value) end(f, now);
      run = 0; at = now;
      return;
    }
    if (e.key === "Tab" && !e.shiftKey && (now - ended < both || value && f.value && gap < both && run >= 2)) {
      e.preventDefault();
      if (value && f.value) end(f, now); else ended = now;
      run = 0; at = now;
      return;
    }
    if (/^(Backspace|Delete|Arrow|Home|End)/.test(e.key)) burst = null; // a person is at work
    if (e.key.length !== 1 || e.ctrlKey || e.metaKey || e.altKey) return;
    run = gap < quick ? run + 1 : 0;
    at = now;
    if (value && burst === f && gap > idle && /^[0-9+\-.,]$/.test(e.key)) {
      // A gauge that ends its values with nothing: the next one begins.
      (next(f) ?? more()).focus();
    }
    burst = value && run >= 3 ? document.activeElement : gap < quick ? burst : null;
  });
}

// Nothing that is typed at the page itself is lost: it goes to the first empty
// reading, and to a new one where all are full.
let spot;
export function landing(fields, more) { spot = { fields, more }; }
document.addEventListener("keydown", e => {
  if (!spot || e.ctrlKey || e.metaKey || e.altKey || e.key.length !== 1 || e.key === " ") return;
  const at = document.activeElement;
  if (at !== document.body && at?.tagName !== "BUTTON" && at?.tagName !== "A") return;
  const all = spot.fields();
  if (all.length && all[0].isConnected) (all.find(f => !f.value) ?? spot.more()).focus();
}, true);
