"use strict";
// Keeping a step as it is typed: saves are numbered, so that a slow one never undoes a later one.
(() => {
  const form = document.getElementById("step");
  if (!form) return;
  const nth = form.elements.nth;
  form.addEventListener("htmx:configRequest", (event) => {
    nth.value = Number(nth.value) + 1;
    event.detail.parameters.set ? event.detail.parameters.set("nth", nth.value) : (event.detail.parameters.nth = nth.value);
  });
  form.addEventListener("submit", (event) => {
    nth.value = Number(nth.value) + 1000;
    const pressed = event.submitter;
    if (pressed && pressed.hasAttribute("data-once")) {
      if (form.dataset.sent) { event.preventDefault(); return; }
      form.dataset.sent = "yes";
      pressed.textContent = "Creating the site …";
      pressed.setAttribute("aria-busy", "true");
    }
  });
  addEventListener("pageshow", () => { delete form.dataset.sent; });
  document.body.addEventListener("htmx:sendError", () => told("Not kept: no connection. It is kept with the next change that gets through."));
  document.body.addEventListener("htmx:responseError", () => told("Not kept. Press Save to see why."));
  function told(words) {
    const kept = document.getElementById("kept");
    if (!kept) return;
    const line = document.createElement("p");
    line.className = "error";
    line.textContent = words;
    kept.replaceChildren(line);
  }
})();
