// Keeps a page as new as the floor: what changes comes drawn from the floor and takes the old one's place.
// Never hides that it is old: it counts from the last thing it heard.

import { say as sayAloud } from "./aloud.js";

const OLD_AFTER_MS = 8_000;
const DEAD_AFTER_MS = 15_000; // a network that was cut leaves connections behind that neither bring anything nor end
const TURN_MS = 8_000;
const CLOCK_SET_MS = 10_000; // no answer is so long on its way: the floor's clock was set
const live = document.querySelector("[data-live]");
const old = document.getElementById("old");
let source = null;
let askedAt = 0;
let heardAt = performance.now();
let shown = null; // the text that was drawn last: a browser gives it back otherwise than it came
let ahead = null; // how far this page's stop-watch, which nobody can set, is ahead of the floor's clock, in ms

function show(event) {
  const news = JSON.parse(event.data);
  heardAt = performance.now();
  // The smallest difference is the one with the least delay on the way. A little is given back each time, for no two
  // clocks run alike.
  const difference = heardAt - news.at;
  ahead = ahead === null || difference - ahead > CLOCK_SET_MS ? difference : Math.min(ahead + 1, difference);
  if (news.html !== shown) {
    shown = news.html;
    const focused = document.activeElement?.id;
    live.innerHTML = news.html;
    if (focused) document.getElementById(focused)?.focus();
    live.dispatchEvent(new CustomEvent("shown", { bubbles: true }));
  }
  tick();
  turn(false);
}

function listen() {
  source?.close();
  source = new EventSource(live.dataset.live);
  askedAt = performance.now();
  source.onmessage = show;
  // A browser gives up for good on an answer that is no stream, such as that of a floor that is just starting.
  source.onerror = () => {
    if (source.readyState !== EventSource.CLOSED) return;
    setTimeout(listen, 1_000);
    // Or the session is over: then the page itself asks for the password.
    fetch(live.dataset.live, { method: "HEAD" }).then((answer) => answer.status === 403 && location.reload(), () => {});
  };
}

function clock(seconds) {
  const whole = Math.abs(Math.ceil(seconds));
  const text = `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
  return seconds < 0 && whole > 0 ? `+${text}` : text;
}

function tick() {
  const now = performance.now();
  for (const time of ahead === null ? [] : live.querySelectorAll("[data-opens]")) {
    time.textContent = clock((Number(time.dataset.opens) - now + ahead) / 1_000);
  }
  const silent = now - heardAt;
  const turned = old.hidden && silent >= OLD_AFTER_MS;
  old.hidden = silent < OLD_AFTER_MS;
  if (!old.hidden) old.textContent = `${old.dataset.say} ${Math.floor(silent / 1_000)} s`;
  if (turned) sayAloud(old.textContent);
  document.body.classList.toggle("is-old", !old.hidden);
  if (now - Math.max(heardAt, askedAt) > DEAD_AFTER_MS) listen();
}

// Lists that are longer than their room show a part at a time. What is urgent is on every part.
const parts = new Map();

function turn(forward) {
  live.querySelectorAll(".few").forEach(shorten);
  live.querySelectorAll("[data-turns]").forEach((list, n) => {
    const before = parts.get(n) ?? { start: 0, shown: 0 };
    parts.set(n, showPart(list, before.start + (forward ? before.shown : 0)));
  });
}

// A row of names ends with how many more there are, where not all of them fit.
function shorten(row) {
  const names = [...row.querySelectorAll("span:not(.since):not(.rest)")];
  const rest = row.querySelector(".rest") ?? document.createElement("span");
  rest.className = "rest";
  rest.remove();
  for (const name of names) name.hidden = false;
  const low = () => [...row.children].some((part) => !part.hidden && part.offsetTop + part.offsetHeight > row.clientHeight + 2);
  for (let shown = names.length; shown > 1 && low(); ) {
    names[--shown].hidden = true;
    rest.textContent = `+${names.length - shown}`;
    names[shown - 1].after(rest);
  }
}

function showPart(list, wanted) {
  const items = [...list.children];
  for (const item of items) item.hidden = false;
  const all = say(list, "", { start: 0, shown: 0 });
  if (fits(list)) return all;
  say(list, `${items.length}`); // what will be told below takes room too
  const urgent = items.filter((item) => item.classList.contains("urgent"));
  const others = items.filter((item) => !urgent.includes(item));
  for (const item of others) item.hidden = true;
  // Where there is no room even for what is urgent, nothing else is shown, and the urgent take turns.
  const turning = fits(list) ? others : urgent;
  for (const item of turning) item.hidden = true;
  const start = turning.length ? wanted % turning.length : 0;
  const last = turning.slice(start).findIndex((item) => !shownIfItFits(item, list));
  const shown = Math.max(last < 0 ? turning.length - start : last, 1);
  return say(list, `${visibleRows(items)} / ${items.length}`, { start, shown });
}

// Which rows are shown, such as "1–3" or "1, 14–15": a bare count would read as the number of a page.
function visibleRows(items) {
  const runs = [];
  items.forEach((item, n) => {
    if (item.hidden) return;
    if (runs.at(-1)?.last === n) runs.at(-1).last = n + 1;
    else runs.push({ first: n + 1, last: n + 1 });
  });
  return runs.map(({ first, last }) => (first === last ? `${first}` : `${first}–${last}`)).join(", ");
}

function shownIfItFits(item, list) {
  item.hidden = false;
  if (fits(list)) return true;
  item.hidden = true;
  return false;
}

function say(list, text, part) {
  const told = list.closest("section").querySelector(".part");
  told.textContent = text || (told.dataset.all ?? "");
  return part;
}

function fits(list) {
  const last = [...list.children].findLast((item) => !item.hidden);
  return !last || last.getBoundingClientRect().bottom <= list.getBoundingClientRect().bottom + 1;
}

listen();
tick();
turn(false);
setInterval(tick, 200);
setInterval(() => turn(true), TURN_MS);
addEventListener("resize", () => turn(false));
document.fonts.ready.then(() => turn(false));
