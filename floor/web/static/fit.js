// Makes a station's screen hold what it has to say: the answer whole, and as much of the list as there is room for.
// Never scrolls, and never leaves a row out without saying how many there are.

const SIZES = [1, 0.9, 0.8, 0.7, 0.6, 0.5, 0.4, 0.3]; // of the answer's letters
const ROW_FROM = 0.6; // larger letters are given up for one row of the list, but no more than that
const live = document.getElementById("live");

function fit() {
  const answer = live.querySelector(".answer");
  const list = live.querySelector(".turns");
  for (const size of SIZES) {
    answer.style.setProperty("--fit", size);
    const shown = showRows(list);
    if (holds(answer) && holds(list) && holds(live) && (shown > 0 || size <= ROW_FROM)) return;
  }
}

function showRows(list) {
  const rows = [...list.querySelectorAll("li")];
  const more = list.querySelector(".more");
  let shown = rows.length;
  for (const row of rows) row.hidden = false;
  more.hidden = true;
  while (shown > 0 && !holds(list)) {
    shown -= 1;
    rows[shown].hidden = true;
    more.hidden = false;
    more.textContent = `+${rows.length - shown} ${more.dataset.say}`;
  }
  return shown;
}

function holds(part) {
  return part.scrollHeight <= part.clientHeight + 1;
}

addEventListener("shown", fit);
new ResizeObserver(fit).observe(live);
document.fonts.ready.then(fit);
