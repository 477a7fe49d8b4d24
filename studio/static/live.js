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

/* Many choices are looked through by part of their name, as any long list is; the only one that is left is chosen. */
const MANY_CHOICES = 10;
const wordsOf = (choice) => choice.textContent.trim().toLowerCase();
const fitting = (choices, words) => {
  const code = choices.filter((each) => wordsOf(each).split(/[ ,:]/)[0] === words);
  return code.length ? code : choices.filter((each) => wordsOf(each).includes(words));
};
const look = (control, label, choices, show) => {
  const row = document.createElement("div"), input = document.createElement("input"), told = document.createElement("p");
  row.classList.add("find", "seek");
  told.className = "help";
  told.setAttribute("role", "status");
  Object.assign(input, { type: "search", placeholder: liveWords.sought, autocomplete: "off", maxLength: 80 });
  input.setAttribute("aria-label", `${liveWords.sought}: ${label}`);
  row.append(input, ...control.querySelectorAll("[data-into]"));
  control.prepend(row, told);
  input.addEventListener("input", (event) => {
    event.stopPropagation(); // what is sought is not what is written
    const words = input.value.trim().toLowerCase(), found = fitting(choices, words);
    const fit = liveWords.fit.replace("{number}", found.length).replace("{all}", choices.length);
    told.textContent = !words ? "" : found.length ? fit : liveWords.none;
    show(found, words);
  });
  input.addEventListener("keydown", (event) => {
    if (event.key === "Enter") event.preventDefault();
  });
  return input;
};
const lookThroughSelect = (select) => {
  const parts = [...select.children].map((part) => [part, part.matches("optgroup") ? [...part.children] : [part]]);
  const choices = parts.flatMap(([, options]) => options).filter((option) => option.value);
  let kept;
  const input = look(select.parentElement, select.labels[0]?.firstChild.textContent.trim() ?? "", choices, (found, words) => {
    const stays = (option) => !option.value || option.value === kept || found.includes(option);
    const before = select.value, only = words && found.length === 1 ? found[0].value : words ? kept : before;
    for (const [part, options] of parts) if (part !== options[0]) part.replaceChildren(...options.filter(stays));
    select.replaceChildren(...parts.filter(([, options]) => options.some(stays)).map(([part]) => part));
    select.value = only;
    if (only !== before) select.dispatchEvent(new Event("change", { bubbles: true }));
  });
  input.addEventListener("focus", () => (kept = select.value));
};
const lookThroughTicks = (control) => {
  const ticks = [...control.querySelectorAll("label")], fold = control.querySelector("details");
  look(control, control.parentElement.querySelector("legend").firstChild.textContent.trim(), ticks, (found, words) => {
    for (const tick of ticks) tick.parentElement.hidden = !found.includes(tick) && !tick.control.checked;
    if (words && fold) fold.open = true;
  });
};
document.addEventListener("DOMContentLoaded", () => {
  document.querySelectorAll("main select:not([data-in-order])").forEach((select) => {
    if (select.length > MANY_CHOICES && !select.closest(".amount")) lookThroughSelect(select);
  });
  document.querySelectorAll("main .choices > .control").forEach((control) => {
    if (control.querySelectorAll("[type='checkbox']").length > MANY_CHOICES) lookThroughTicks(control);
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
