/* At the studio's tablet: whoever walks away is signed out, and whoever is still typing is not. */
"use strict";

const { who, awake } = document.currentScript.dataset;
const IDLE_MS = 10 * 60 * 1000;
const MINUTE_MS = 60 * 1000;
let touchedAt = Date.now();
let saidAt = touchedAt;

["pointerdown", "keydown", "input", "scroll"].forEach((touch) => {
  document.addEventListener(touch, () => { touchedAt = Date.now(); }, { passive: true, capture: true });
});

setInterval(() => {
  if (Date.now() - touchedAt >= IDLE_MS) {
    location.replace(who);
  } else if (touchedAt > saidAt) {
    saidAt = Date.now();
    fetch(awake, { method: "HEAD" }).catch(() => {});
  }
}, MINUTE_MS);
