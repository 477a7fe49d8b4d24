/* Reads a printed code with the camera and goes to its page. Where the browser reads no codes, the button stays away. */
"use strict";

{ // a form may hold several of its buttons, and each brings it along
const scanWords = document.currentScript.dataset;

const codeIn = (text) => /\/c\/([\w-]+)\/?$/.exec(text)?.[1] ?? (/^[\w-]+$/.test(text) ? text : null);

const scan = async (button) => {
  const stream = await navigator.mediaDevices.getUserMedia({ video: { facingMode: "environment" } }).catch(() => null);
  if (!stream) return say(scanWords.shut, "look");
  const dialog = document.createElement("dialog"), video = document.createElement("video"), close = document.createElement("button");
  dialog.className = "scanner";
  dialog.setAttribute("aria-label", scanWords.hold);
  close.className = "button";
  close.textContent = scanWords.close;
  close.addEventListener("click", () => dialog.close());
  Object.assign(video, { srcObject: stream, muted: true, playsInline: true });
  dialog.append(video, close);
  document.body.append(dialog);
  dialog.addEventListener("close", () => {
    stream.getTracks().forEach((track) => track.stop());
    dialog.remove();
    button.focus();
  });
  dialog.showModal();
  await video.play();
  const reader = new BarcodeDetector({ formats: ["qr_code"] });
  while (dialog.open) {
    const [found] = await reader.detect(video).catch(() => []);
    const code = found && codeIn(found.rawValue);
    if (code) return "into" in button.dataset ? seekBy(code, button, dialog) : location.assign(button.dataset.scan.replace("CODE", code));
    // another code of this book, such as a bath's card, opens its own page
    if (found?.rawValue.startsWith(`${location.origin}/`)) return location.assign(found.rawValue);
    await new Promise((done) => setTimeout(done, 150));
  }
};

/* In a form the code is looked for among the choices beside the button. */
const seekBy = (code, button, dialog) => {
  dialog.close();
  const input = button.parentElement.querySelector("[type='search']");
  input.focus();
  input.value = code;
  input.dispatchEvent(new Event("input"));
};

if (globalThis.BarcodeDetector && navigator.mediaDevices) {
  document.querySelectorAll("[data-scan][hidden]").forEach((button) => {
    button.hidden = false;
    button.addEventListener("click", () => scan(button));
  });
}
}
