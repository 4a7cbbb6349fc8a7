// What a step has beyond its page: it is read aloud, and the seconds that a warm
// part stays loose are counted down. Both work on whatever is on the page now.
const speech = window.speechSynthesis;
const ready = () => { for (const b of document.querySelectorAll("[data-aloud]")) b.hidden = !speech; };

document.addEventListener("click", e => {
  const b = e.target.closest("[data-aloud]");
  if (!b || !speech) return;
  if (speech.speaking) { speech.cancel(); return; }
  const say = new SpeechSynthesisUtterance(b.dataset.aloud);
  say.lang = "en";
  say.rate = .9;
  speech.speak(say);
});
addEventListener("pagehide", () => speech?.cancel());

const count = () => {
  for (const c of document.querySelectorAll("[data-until]")) {
    const left = Math.floor((Number(c.dataset.until) - Date.now()) / 1000);
    const figure = c.querySelector(".big") ?? c;
    figure.textContent = left > 0 ? Math.floor(left / 60) + ":" + String(left % 60).padStart(2, "0") : "too late: warm it again";
    c.classList.toggle("gone", left <= 0);
  }
};
ready();
count();
setInterval(() => { ready(); count(); }, 1000);
