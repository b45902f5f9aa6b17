// What the pages cannot do without script: keep a form a moment after each change, and put the answers in place.
//
// A form with data-keeps is posted to that address 250 ms after the last keystroke, one post at a time. What is not yet
// acknowledged lies in the browser's own storage, so a closed window or a server that is down loses nothing.
"use strict";
(() => {
  const form = document.querySelector("form[data-keeps]");
  const writer = window.crypto.getRandomValues(new Uint32Array(2)).reduce((all, each) => all + each.toString(36), "tab");
  document.addEventListener("htmx:configRequest", (event) => { event.detail.headers["X-Writer"] = writer; });
  if (!form) return;

  const shelf = "unsent:" + form.action;
  const standing = document.getElementById("standing");
  const notice = document.getElementById("notice");
  const fields = [...form.elements].filter((each) => each.name && each.tagName !== "BUTTON" && each.name !== "base");
  // A page that is about to go keeps its text: the next page may have been read before the last post arrived.
  let leaving = false;
  window.addEventListener("beforeunload", () => { leaving = true; window.setTimeout(() => { leaving = false; }, 2000); });
  let timer = 0, sending = false, waiting = false, retry = 1000;

  const typed = () => Object.fromEntries(fields.map((each) => [each.name, each.value]));
  const say = (words) => { if (standing) standing.textContent = words; };

  function grow() {
    for (const area of form.querySelectorAll("textarea")) {
      area.style.height = "auto";
      area.style.height = area.scrollHeight + 2 + "px";
    }
  }

  function tell(words) {
    notice.replaceChildren();
    if (!words) return;
    const said = document.createElement("p");
    said.className = "ask";
    said.textContent = words;
    notice.append(said);
  }

  // A field that changed on the server takes the new text; the caret keeps its place by the text before it.
  function place(changed, sent) {
    for (const each of fields) {
      const text = changed[each.name];
      if (text === undefined || text === null || each.value === text || each.value !== sent[each.name]) continue;
      const caret = each.selectionStart;
      const before = caret === undefined || caret === null ? "" : each.value.slice(0, caret);
      const after = each.value.slice(caret || 0);  // nothing at the end of the text, which is then the place
      each.value = text;
      if (document.activeElement === each && caret !== null && caret !== undefined) {
        // Rows that came in below leave what stands before the caret alone; rows above, what stands after it.
        const kept = text.endsWith(after) ? text.length - after.length : Math.min(caret, text.length);
        const at = text.startsWith(before) ? caret : kept;
        each.setSelectionRange(at, at);
      }
    }
  }

  function put(id, html) {
    const target = document.getElementById(id);
    if (!target) return;
    const slider = document.activeElement && document.activeElement.id === "servings" && target.contains(document.activeElement);
    target.innerHTML = html;
    window.htmx.process(target);
    if (slider) document.getElementById("servings").focus();
  }

  async function send(answer) {
    if (sending) { waiting = waiting || answer || true; return; }
    sending = true;
    waiting = false;
    const sent = typed();
    const body = new FormData();
    for (const [name, text] of Object.entries(sent)) body.append(name, text);
    body.append("base", form.elements.base.value);
    if (typeof answer === "string") body.append("answer", answer);
    say("Keeping ...");
    try {
      const reply = await fetch(form.dataset.keeps, { method: "POST", body, headers: { Accept: "application/json", "X-Writer": writer } });
      if (!reply.ok) throw new Error(String(reply.status));
      const found = await reply.json();
      const moved = JSON.stringify(typed()) !== JSON.stringify(sent);
      // Where more was typed meanwhile, that text goes on from what was sent, not from what another window put in.
      form.elements.base.value = moved ? found.mine : found.number;
      if (found.fields) place(found.fields, sent);
      for (const id of ["rail", "asked", "judged"]) put(id, found[id]);
      const title = document.getElementById("dish-title");
      if (title && form.elements.title.value.trim()) title.textContent = form.elements.title.value;
      if (!moved && !leaving) localStorage.removeItem(shelf);
      retry = 1000;
      tell(found.doubled.length ? "Another window changed the same lines. Both are kept, one below the other: " + found.doubled.join("; ") : "");
      say("Version " + found.number + " is kept." + (found.merged ? " What another window wrote was put in." : ""));
      grow();
      if (moved) waiting = waiting || true;
    } catch (trouble) {
      const refused = /^4\d\d$/.test(trouble.message) && trouble.message !== "429";
      say(refused ? "Not kept: the bench refused it. Your text is safe in this window." : "Not kept yet: the bench does not answer. Trying again.");
      if (!refused) { window.setTimeout(() => send(answer), retry); retry = Math.min(retry * 2, 15000); }
    }
    sending = false;
    if (waiting) { const next = waiting; waiting = false; send(next === true ? undefined : next); }
  }

  form.addEventListener("input", () => {
    localStorage.setItem(shelf, JSON.stringify({ base: form.elements.base.value, fields: typed() }));
    grow();
    window.clearTimeout(timer);
    timer = window.setTimeout(() => send(), 250);
  });
  document.addEventListener("submit", (event) => {
    if (event.target !== form) return;
    event.preventDefault();
    window.clearTimeout(timer);
    const chosen = event.submitter && event.submitter.name === "answer" ? event.submitter.value : undefined;
    send(chosen);
    if (chosen) form.elements.ingredients.focus();
  });

  // Text of an earlier window that was never acknowledged goes in now, on the version it began from.
  const unsent = JSON.parse(localStorage.getItem(shelf) || "null");
  if (unsent) {
    form.elements.base.value = unsent.base;
    for (const each of fields) if (unsent.fields[each.name] !== undefined) each.value = unsent.fields[each.name];
    send();
  } else if (fields.some((each) => each.defaultValue !== undefined && each.value !== each.defaultValue)) {
    send(); // typed before this script was there to hear it
  }
  grow();
})();
