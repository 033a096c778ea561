// Has a screen reader say each alarm and each answer once, when it is new; a stop does not wait for the end of a sentence.
// Never repeats what only moves on, such as a countdown: nothing but these two regions is live.

const stops = document.getElementById("stops");
const news = document.getElementById("news");
let known = new Set(told().map(key)); // the page itself is read from its beginning

export function say(text, stop = false) {
  (stop ? stops : news).textContent = text;
}

function told() {
  return [...document.querySelectorAll("[data-told]")];
}

function key(each) {
  return each.dataset.key;
}

addEventListener("shown", () => {
  const now = told();
  const fresh = now.filter((each) => !known.has(key(each)));
  for (const stop of [true, false]) {
    const texts = fresh.filter((each) => ("stop" in each.dataset) === stop).map((each) => each.dataset.told);
    if (texts.length) say(texts.join(" "), stop);
  }
  known = new Set(now.map(key));
});
