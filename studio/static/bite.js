/* A running bite: its clock is the clock of the book's machine, its bell rings where it may, and a tap is kept until
   the book has it. Without this file the page shows the moment at which the bite is over, and every form works. */
"use strict";

const biteWords = document.currentScript.dataset;
const running = document.getElementById("running");
const SECOND = 1000, ASK_EVERY = 30 * SECOND, AGAIN_AFTER = 5 * SECOND, PATIENCE = 10 * SECOND, RING_FOR = 5 * 60 * SECOND;

/* The clock: how far this device is behind or before the book's machine, told anew whenever the page is looked at. */
const clock = {
  ahead: Number(running.dataset.now) - Date.now(),
  started: Number(running.dataset.started),
  ends: Number(running.dataset.ends),
  now: () => Date.now() + clock.ahead,
};

const digits = (milliseconds) => {
  const seconds = Math.max(0, Math.ceil(milliseconds / SECOND));
  return `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
};
const timeOf = (moment) => new Date(moment).toLocaleTimeString([], { hourCycle: biteWords.hours === "12" ? "h12" : "h23", hour: "2-digit", minute: "2-digit", second: "2-digit" });

const fetched = (address, options) => fetch(address, { ...options, cache: "no-store", signal: AbortSignal.timeout(PATIENCE) });

const ask = async (key = "") => {
  try {
    const asked = Date.now();
    const answer = await (await fetched(`${running.dataset.clock}?key=${key}`)).json();
    clock.ahead = answer.now - (asked + Date.now()) / 2;
    document.getElementById("as-of").textContent = timeOf(Date.now());
    if (!answer.runs && !post.kept().length) location.reload();
    return answer;
  } catch {
    document.getElementById("as-of").textContent = biteWords.alone;
    return null;
  }
};

const tick = () => {
  const left = clock.ends - clock.now();
  const isOver = clock.ends > 0 && left <= 0;
  const shown = clock.ends && !isOver ? digits(left) : digits(clock.now() - (isOver ? clock.ends : clock.started));
  document.getElementById("count").textContent = isOver ? `+${shown}` : shown;
  document.title = `${isOver ? biteWords.over : shown} · ${running.dataset.words}`;
  running.classList.toggle("over", isOver);
  document.getElementById("over").hidden = !isOver;
  if (isOver) bell.ring();
};

/* The bell: browsers let a page sound only after a tap, and only while it is open. */
const bell = {
  sound: null,
  screen: null,
  lastRung: 0,
  async allow() {
    bell.sound ??= new AudioContext();
    await bell.sound.resume();
    bell.beep(1);
    await bell.keepScreenOn();
  },
  async keepScreenOn() {
    try {
      bell.screen = await navigator.wakeLock.request("screen");
    } catch {
      bell.screen = null;
    }
    bell.tell();
  },
  tell() {
    const note = document.getElementById("rings");
    note.hidden = false;
    note.textContent = bell.screen
      ? biteWords.rings
      : biteWords.ringsInTheDark;
  },
  beep(times) {
    for (let beat = 0; beat < times; beat += 1) {
      const tone = bell.sound.createOscillator(), volume = bell.sound.createGain(), at = bell.sound.currentTime + beat * 0.4;
      tone.frequency.value = 880;
      volume.gain.setValueAtTime(0.4, at);
      volume.gain.exponentialRampToValueAtTime(0.001, at + 0.3);
      tone.connect(volume).connect(bell.sound.destination);
      tone.start(at);
      tone.stop(at + 0.3);
    }
  },
  ring() {
    const now = clock.now();
    if (now - bell.lastRung < 3 * SECOND || now - clock.ends > RING_FOR) return;
    bell.lastRung = now;
    if (bell.sound) bell.beep(3);
    if (bell.sound && navigator.vibrate) navigator.vibrate([400, 200, 400, 200, 400]);
  },
};

/* The post: what was tapped counts from the tap, however long it takes to reach the book. */
const post = {
  place: `mordant-bite-${location.pathname}`,
  kept() {
    try {
      return JSON.parse(localStorage.getItem(post.place)) ?? [];
    } catch {
      return [];
    }
  },
  keep(letters) {
    try {
      if (letters.length) localStorage.setItem(post.place, JSON.stringify(letters));
      else localStorage.removeItem(post.place);
    } catch {
      /* a browser without storage keeps the tap as long as the page is open */
    }
  },
  take(form) {
    const fields = Object.fromEntries(new FormData(form));
    return { action: form.getAttribute("action"), what: form.dataset.keep, tapped: Date.now(), fields };
  },
  form: (letter) => document.querySelector(`form[action="${letter.action}"]`),
  say(letter, words) {
    const note = post.form(letter).querySelector(".kept");
    note.hidden = false;
    note.textContent = words.replace("{what}", letter.what).replace("{time}", timeOf(letter.tapped));
  },
  async send(letter) {
    post.keep([...post.kept().filter((other) => other.fields.key !== letter.fields.key), letter]);
    const fields = new URLSearchParams(letter.fields);
    fields.set("csrfmiddlewaretoken", post.form(letter).querySelector("[name=csrfmiddlewaretoken]").value);
    fields.set("seconds_ago", Math.round((Date.now() - letter.tapped) / SECOND));
    try {
      const answer = await fetched(letter.action, { method: "POST", body: fields, redirect: "manual" });
      if (answer.ok) return post.refused(letter, fields);
      const written = answer.type === "opaqueredirect" && (await ask(letter.fields.key))?.written;
      if (written) return post.arrived(letter);
      throw new Error("not written");
    } catch {
      post.say(letter, biteWords.unwritten);
      return setTimeout(post.send, AGAIN_AFTER, letter);
    }
  },
  forget(letter) {
    post.keep(post.kept().filter((other) => other.fields.key !== letter.fields.key));
  },
  arrived(letter) {
    post.forget(letter);
    location.reload();
  },
  /* The book asks something: its own page says what. */
  refused(letter, fields) {
    post.forget(letter);
    const form = post.form(letter);
    for (const [name, value] of fields) if (form.elements[name]) form.elements[name].value = value;
    form.submit();
  },
};

document.querySelectorAll("form[data-keep]").forEach((form) => {
  form.addEventListener("submit", (event) => {
    event.preventDefault();
    if (!form.dataset.sent) post.send(post.take(form));
  });
});

const lookUp = () => {
  if (document.visibilityState !== "visible") return;
  ask();
  tick();
  if (bell.sound) bell.keepScreenOn();
};
document.addEventListener("visibilitychange", lookUp);
window.addEventListener("online", lookUp);
window.addEventListener("pageshow", (event) => event.persisted && lookUp());

const ring = document.getElementById("ring");
if (ring) {
  ring.hidden = false;
  ring.addEventListener("click", bell.allow);
}
post.kept().forEach(post.send);
setInterval(tick, SECOND);
setInterval(ask, ASK_EVERY, "");
tick();
