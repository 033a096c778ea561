// A screen at a station: it takes what a scanner types, or the camera sees, and keeps it until the floor has it.
// Never loses a scan: one leaves the screen's own store only when the floor has answered it.

import { say } from "./aloud.js";

const form = document.getElementById("scan");
const code = document.getElementById("code");
const kept = document.getElementById("kept");
const store = `piecewalk ${form.action}`;
const ANSWER_WITHIN_MS = 5_000; // after that the way there is dead, and another is tried
const IDLE_MS = 120; // a scanner without a terminator types its ten digits and falls silent
const WHOLE_CODE = /^\d{10,}$/;
const ANSWERED = new Set([200, 409, 422]); // recorded, or never to be: sending it again would change nothing
let sending = false;
let again = 0;
let idle = 0;
let lastKeyAt = 0;
let slowest = 0;

function waiting() {
  return JSON.parse(localStorage.getItem(store) ?? "[]");
}

function keep(scans) {
  localStorage.setItem(store, JSON.stringify(scans));
  kept.hidden = scans.length === 0 || sending;
  const text = `${scans.length} ${scans.length === 1 ? kept.dataset.one : kept.dataset.many}`;
  if (!kept.hidden && kept.textContent !== text) say(text);
  kept.textContent = text;
}

function newId() {
  // crypto.randomUUID is there on safe origins only; a shop's own network often is none.
  return Array.from(crypto.getRandomValues(new Uint8Array(16)), (byte) => byte.toString(16).padStart(2, "0")).join("");
}

function take(text) {
  const cleaned = text.trim();
  code.value = "";
  if (!cleaned) return;
  keep([...waiting(), { code: cleaned, read_id: newId(), at: Date.now() }]);
  send();
}

async function send() {
  if (sending) return;
  sending = true;
  while (waiting().length) {
    const [scan] = waiting();
    const body = new FormData(form);
    body.set("code", scan.code);
    body.set("read_id", scan.read_id);
    body.set("age_s", Math.max(0, (Date.now() - scan.at) / 1_000));
    const signal = AbortSignal.timeout(ANSWER_WITHIN_MS);
    const status = await fetch(form.action, { method: "POST", body, signal, headers: { Accept: "application/json" } })
      .then((response) => response.status)
      .catch(() => 0);
    if (status === 403) {
      location.reload(); // the session is over: the page asks for the password, and what was kept stays kept
      return;
    }
    if (!ANSWERED.has(status)) break;
    keep(waiting().slice(1));
  }
  sending = false;
  keep(waiting());
  clearTimeout(again);
  if (waiting().length) again = setTimeout(send, 2_000);
}

// An Enter that comes after its digits were taken finds the field empty, and that is no mistake.
form.noValidate = true;
form.addEventListener("submit", (event) => {
  event.preventDefault();
  take(code.value);
});

// Wherever the focus was, what a scanner types ends up in the field.
addEventListener("keydown", (event) => {
  if (event.ctrlKey || event.metaKey || event.altKey) return;
  if (event.target !== code && event.key.length === 1) code.focus();
  const now = performance.now();
  slowest = code.value === "" ? 0 : Math.max(slowest, now - lastKeyAt);
  lastKeyAt = now;
  clearTimeout(idle);
  if (event.key === "Tab" && code.value) {
    event.preventDefault();
    take(code.value);
    return;
  }
  idle = setTimeout(() => {
    if (slowest < 50 && WHOLE_CODE.test(code.value)) take(code.value);
  }, IDLE_MS);
}, true);

// Sound: two rising notes for good, high and low in turn where there is something to look at, one low note again and
// again for a stop. Browsers allow it only after a touch.
const NOTES = {
  good: { hertz: [660, 880], type: "sine" },
  look: { hertz: [880, 440, 880, 440], type: "triangle" },
  stop: { hertz: [180, 180, 180], type: "square" },
};
const soundButton = document.getElementById("sound");
let audio = null;

soundButton.addEventListener("click", () => {
  audio = audio ? null : new AudioContext();
  soundButton.setAttribute("aria-pressed", String(audio !== null));
  if (audio) play("good");
  code.focus();
});

function play(signal) {
  if (!audio) return;
  const { hertz: notes, type } = NOTES[signal];
  notes.forEach((hertz, n) => {
    const note = audio.createOscillator();
    const loud = audio.createGain();
    note.type = type;
    note.frequency.value = hertz;
    loud.gain.value = 0.15;
    note.connect(loud).connect(audio.destination);
    note.start(audio.currentTime + n * 0.14);
    note.stop(audio.currentTime + n * 0.14 + 0.11);
  });
}

let heard = null;

addEventListener("shown", () => {
  const answer = document.querySelector(".answer[data-key]");
  if (!answer || answer.dataset.key === heard) return;
  if (heard !== null) play(answer.dataset.signal);
  heard = answer.dataset.key;
});

// The camera reads the QR code, where the browser can.
const cameraButton = document.getElementById("camera");
const view = document.getElementById("view");
let seen = { text: "", at: 0 };

if ("BarcodeDetector" in window && navigator.mediaDevices) cameraButton.hidden = false;

cameraButton.addEventListener("click", async () => {
  if (view.srcObject) {
    for (const track of view.srcObject.getTracks()) track.stop();
    view.srcObject = null;
    view.hidden = true;
    return;
  }
  view.srcObject = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } });
  view.hidden = false;
  await view.play();
  const detector = new BarcodeDetector({ formats: ["qr_code", "code_128"] });
  const look = async () => {
    if (!view.srcObject) return;
    const found = await detector.detect(view).catch(() => []);
    for (const { rawValue } of found) {
      if (rawValue === seen.text && Date.now() - seen.at < 3_000) continue;
      seen = { text: rawValue, at: Date.now() };
      take(rawValue);
    }
    setTimeout(look, 200);
  };
  look();
});

keep(waiting());
send();
