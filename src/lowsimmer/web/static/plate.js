// A plate whose change could not be kept says so, and tries again until the bench answers. What is not acknowledged lies
// in the browser's own storage meanwhile, and goes in when the page is opened again.
"use strict";
(() => {
  const form = document.getElementById("plate");
  if (!form) return;
  const say = (words) => { const standing = document.getElementById("standing"); if (standing) standing.textContent = words; };
  const shelf = "unsent:" + form.action;
  const fields = () => [...form.elements].filter((each) => each.name && each.tagName !== "BUTTON");
  const typed = () => JSON.stringify(fields().map((each) => [each.name, each.value]));
  const keep = (event) => { if (event.target.form === form) localStorage.setItem(shelf, typed()); };
  document.addEventListener("input", keep);
  document.addEventListener("change", keep);
  let wait = 1000;
  const again = () => {
    say("Not kept yet: the bench does not answer. Trying again.");
    window.setTimeout(() => window.htmx.trigger("#plate", "change"), wait);
    wait = Math.min(wait * 2, 15000);
  };
  document.addEventListener("htmx:sendError", again);
  document.addEventListener("htmx:afterRequest", (event) => {
    if (!event.detail.successful || event.detail.requestConfig.verb !== "post") return;
    wait = 1000;
    if (!document.querySelector("#plate.htmx-request")) localStorage.removeItem(shelf);
  });
  document.addEventListener("htmx:responseError", (event) => {
    const status = event.detail.xhr.status;
    if (status === 429 || status >= 500) again();
    else say("Not kept: the bench refused it. What you typed is still here.");
  });

  // The same fields as then: their texts go in on the version that they began from, and the bench brings both together.
  const unsent = JSON.parse(localStorage.getItem(shelf) || "null");
  const now = fields();
  if (!unsent || unsent.length !== now.length || unsent.some(([name], place) => name !== now[place].name)) return;
  unsent.forEach(([, text], place) => { now[place].value = text; });
  window.addEventListener("load", () => window.htmx.trigger("#plate", "change"));
})();
