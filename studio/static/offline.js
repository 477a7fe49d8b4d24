/* Asks the browser to keep the open pages, and says since when it has them. Without it they open as ever, online. */
"use strict";

const { worker, scope, kept } = document.currentScript.dataset;

const sayKept = (saved) => {
  const words = new Intl.DateTimeFormat(document.documentElement.lang.replace(/^en.*/, "en-GB"), { dateStyle: "long", timeStyle: "short" }).format(new Date(saved));
  const note = document.getElementById("kept");
  if (note) note.textContent = kept.replace("{when}", words);
};

if (navigator.serviceWorker) {
  navigator.serviceWorker.addEventListener("message", (event) => sayKept(event.data));
  navigator.serviceWorker.register(worker, { scope });
  navigator.serviceWorker.ready.then((registration) => registration.active.postMessage("keep"));
}
