/* Small courtesies of the pages; every one of them works without this file. */
"use strict";

const liveWords = document.currentScript.dataset;

const say = (words, level) => {
  const line = document.createElement("p");
  line.className = `message ${level}`;
  line.textContent = words;
  document.getElementById("messages").append(line);
  line.scrollIntoView({ block: "nearest" });
};

/* What asks for attention gets the focus, a refusal before anything else; a live planner must not take it from a field
   that is being typed in. */
const lead = (root, wanted) => {
  const refused = root.querySelector?.("[role='alert'][data-focus]");
  (refused ?? root.querySelector?.(wanted))?.focus();
};

/* A form is sent once: a second tap of a wet finger does nothing. */
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) {
    event.preventDefault();
  } else if (form.matches("[data-once]")) {
    form.dataset.sent = "yes";
    form.querySelectorAll("button:not([type='button'])").forEach((button) => button.setAttribute("aria-disabled", "true"));
  }
});

/* What may take long says how far it has come while its answer is awaited: a form that is sent, a link that is followed. */
const waits = (asked, words) => {
  const line = document.createElement("p");
  line.classList.add("message", "fine");
  line.setAttribute("role", "status");
  line.textContent = `${words} …`;
  asked.closest("main").append(line);
  line.scrollIntoView({ block: "nearest" });
  const look = async () => {
    const answer = await fetch(asked.dataset.progress).catch(() => null);
    const far = answer?.ok ? await answer.text() : "";
    if (far) line.textContent = `${words}: ${far} …`;
  };
  const looking = setInterval(look, 700);
  window.addEventListener("pageshow", () => (clearInterval(looking), line.remove()), { once: true });
};
for (const deed of ["submit", "click"]) {
  document.addEventListener(deed, (event) => {
    const asked = event.target.closest?.(deed === "submit" ? "form[data-progress]" : "a[data-progress]");
    if (asked && !event.defaultPrevented) waits(asked, event.submitter?.dataset.words ?? asked.dataset.words);
  });
}

/* Coming back to a page by the Back button, its forms can be sent again. */
const allowAgain = (root) => {
  root.querySelectorAll("form[data-sent]").forEach((form) => {
    delete form.dataset.sent;
    form.querySelectorAll("[aria-disabled]").forEach((button) => button.removeAttribute("aria-disabled"));
  });
};
window.addEventListener("pageshow", () => allowAgain(document));

/* A form that was sent and is shown again by the Back button is another act: the book would take it for a second tap. */
document.addEventListener("submit", (event) => {
  const keys = event.target.querySelectorAll("[type='hidden'][name$='key']");
  if (!event.defaultPrevented) keys.forEach((key) => sessionStorage.setItem(`sent ${key.value}`, ""));
});
const newKey = () =>
  "10000000-1000-4000-8000-100000000000".replace(/[018]/g, (digit) =>
    (Number(digit) ^ (crypto.getRandomValues(new Uint8Array(1))[0] & (15 >> (Number(digit) / 4)))).toString(16),
  );
window.addEventListener("pageshow", (event) => {
  if (!event.persisted && performance.getEntriesByType("navigation")[0]?.type !== "back_forward") return;
  const again = [...document.querySelectorAll("[type='hidden'][name$='key']")].filter(
    (key) => sessionStorage.getItem(`sent ${key.value}`) !== null,
  );
  again.forEach((key) => (key.value = newKey()));
  if (again.length) say(liveWords.again, "look");
});

/* What somebody pastes elsewhere is copied by one tap; without this it is marked and copied by hand. */
document.addEventListener("DOMContentLoaded", () => {
  document.querySelectorAll("[data-copy]").forEach((button) => {
    const text = document.getElementById(button.dataset.copy);
    button.hidden = false;
    button.addEventListener("click", async () => {
      text.select();
      // only an address that browsers trust has a clipboard
      await (navigator.clipboard?.writeText(text.value) ?? document.execCommand("copy"));
      button.textContent = button.dataset.done;
    });
  });
});

/* What is typed is not yet written, and says so. */
document.addEventListener("input", (event) => {
  const note = event.target.form?.querySelector(".unsaved");
  if (note) note.hidden = false;
});

document.addEventListener("DOMContentLoaded", () => lead(document, "[data-focus], [aria-invalid='true']"));
/* An address that leads to a part of the page takes the focus there once all is loaded, away from a refusal above it. */
window.addEventListener("load", () => {
  const refused = document.querySelector("[role='alert'][data-focus]");
  if (location.hash && refused) requestAnimationFrame(() => setTimeout(() => refused.focus()));
});
document.addEventListener("htmx:afterSwap", (event) => lead(event.target, "[data-focus]"));
document.addEventListener("htmx:beforeRequest", (event) => event.target.setAttribute("aria-busy", "true"));
document.addEventListener("htmx:afterRequest", (event) => event.target.removeAttribute("aria-busy"));
for (const trouble of ["htmx:responseError", "htmx:sendError", "htmx:timeout"]) {
  document.addEventListener(trouble, () => {
    allowAgain(document);
    say(liveWords.silent, "act");
  });
}
