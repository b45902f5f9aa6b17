// A plate whose change could not be kept says so, and tries again until the bench answers.
"use strict";
(() => {
  const form = document.getElementById("plate");
  if (!form) return;
  const say = (words) => { const standing = document.getElementById("standing"); if (standing) standing.textContent = words; };
  let wait = 1000;
  const again = () => {
    say("Not kept yet: the bench does not answer. Trying again.");
    window.setTimeout(() => window.htmx.trigger("#plate", "change"), wait);
    wait = Math.min(wait * 2, 15000);
  };
  document.addEventListener("htmx:sendError", again);
  document.addEventListener("htmx:afterRequest", (event) => { if (event.detail.successful) wait = 1000; });
  document.addEventListener("htmx:responseError", (event) => {
    const status = event.detail.xhr.status;
    if (status === 429 || status >= 500) again();
    else say("Not kept: the bench refused it. What you typed is still here.");
  });
})();
