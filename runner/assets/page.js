// What is open, ticked or half written stays so, and what was pressed stays under the finger; who loses the connection is
// told, and what changes by itself does: a page without this works all the same.
"use strict";
const open = new Set();
let half = [];
let held;
let heading;
const HALF = "input[form='conclude'], .conclude select, .suspects select, .suspects input[type='range'], .sheet select, .sheet input[name='amount'], #words";
const name = (one) => `${one.id} ${one.name} ${one.type === "checkbox" ? one.value : ""}`;
// A clock or a hint that is put anew leaves the rest of the page alone.
const isWhole = (event) => event.detail.target === document.body;
document.addEventListener("htmx:beforeSwap", (event) => {
  if (!isWhole(event)) return;
  heading = document.querySelector("h1")?.textContent;
  open.clear();
  for (const one of document.querySelectorAll("details[open][id^='kind-']")) open.add(one.id);
  const pressed = event.detail.requestConfig?.triggeringEvent?.submitter ?? document.activeElement;
  const keeps = pressed?.closest?.("[id]");
  held = keeps && !pressed.closest("[hx-swap*=':top']") && { id: keeps.id, top: keeps.getBoundingClientRect().top };
  // What was just sent is not half written any more, unless it was refused.
  const sent = event.detail.requestConfig?.elt;
  const all = [...document.querySelectorAll(HALF)];
  half = all.map((one) => [name(one), one.checked, one.value, one.form !== sent || one.form.id === "conclude"]);
});
const whole = () => {
  if (document.getElementById("sure")) return;
  const now = new Map([...document.querySelectorAll(HALF)].map((one) => [name(one), one]));
  const refused = document.querySelector("[data-refused]");
  for (const [id, checked, value, isHalf] of half) {
    const one = now.get(id);
    if (!one || !(isHalf || refused)) continue;
    if (one.type === "checkbox") one.checked = checked;
    else one.value = value;
  }
};
const still = () => {
  // Another task begins at its top.
  if (document.querySelector("h1")?.textContent !== heading) return scrollTo({ top: 0, behavior: "instant" });
  const now = held && document.getElementById(held.id);
  if (!now) return;
  scrollBy({ top: now.getBoundingClientRect().top - held.top, behavior: "instant" });
};

// How sure somebody is, in figures beside the slider.
const told = (slider) => {
  const said = slider && document.querySelector(`output[for='${slider.id}']`);
  if (said) said.textContent = `${slider.value} %`;
};
// A part of a name leaves those in the list that have it.
const finds = (field) => {
  const part = field.value.trim().toLowerCase();
  const list = document.getElementById(field.dataset.finds);
  for (const one of list.querySelectorAll("option")) {
    one.hidden = one.value !== "" && !one.textContent.toLowerCase().includes(part);
  }
  for (const one of list.querySelectorAll("optgroup")) one.hidden = !one.querySelector("option:not([hidden])");
  const found = list.querySelectorAll("option:not([hidden]):not([value=''])");
  if (part && found.length === 1) list.value = found[0].value;
};
// The same for the cars there are.
const picks = (field) => {
  const part = field.value.trim().toLowerCase();
  for (const one of document.querySelectorAll(".cases li")) one.hidden = !one.textContent.toLowerCase().includes(part);
};
document.addEventListener("input", ({ target }) => {
  if (target.type === "range") told(target);
  if (target.id === "find-car") picks(target);
  if (target.dataset.finds) finds(target);
});
const gone = (is) => {
  const notice = document.getElementById("gone");
  if (notice) notice.hidden = !is;
};
document.addEventListener("htmx:sendError", () => gone(true));
document.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.xhr?.status) gone(false);
});

// Who is how far, as the server tells it. Where the connection is lost, the browser asks again by itself.
let live;
const follow = () => {
  const at = document.querySelector("[data-live]");
  if (live && live.at !== at) {
    live.source.close();
    live = undefined;
  }
  if (!at || live) return;
  const source = new EventSource(at.dataset.live);
  source.onmessage = (event) => {
    gone(false);
    at.innerHTML = event.data;
  };
  source.onerror = () => gone(true);
  live = { at, source };
};

// Minutes left, counted from when the page came.
let came = Date.now();
const count = () => {
  const at = document.querySelector("[data-left]");
  if (!at) return;
  const left = Number(at.dataset.left) - (Date.now() - came) / 1000;
  at.textContent = Math.max(0, Math.floor(left / 60));
};
setInterval(count, 5000);

// A mistake leads to its line in the text.
document.addEventListener("click", (event) => {
  const line = event.target.closest?.("a[data-line]")?.dataset.line;
  const text = document.getElementById("text");
  if (!line || !text) return;
  event.preventDefault();
  const lines = text.value.split("\n");
  const start = lines.slice(0, line - 1).reduce((sum, one) => sum + one.length + 1, 0);
  text.focus();
  text.setSelectionRange(start, start + lines[line - 1].length);
  text.scrollTop = (line - 5) * (text.scrollHeight / lines.length);
});

document.addEventListener("htmx:afterSettle", (event) => {
  if (isWhole(event) || event.detail.target?.id === "left") came = Date.now();
  if (!isWhole(event)) return;
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  ready();
  whole();
  told(document.getElementById("percent"));
  still();
  // What lies in a fold loses the focus with it; the next key belongs where the last one was.
  const last = held && document.getElementById(held.id);
  if (last && document.activeElement === document.body) last.focus({ preventScroll: true });
  document.getElementById("sure")?.scrollIntoView({ block: "start", behavior: "instant" });
  // Only who pressed something watches on: a page that is merely opened lets no time pass.
  const watch = document.querySelector("#watch[hx-trigger]");
  if (watch) setTimeout(() => watch.isConnected && htmx.trigger(watch, "look"), 1200);
  const stop = document.getElementById("watch-stop");
  if (stop && document.activeElement === document.body) stop.focus({ preventScroll: true });
  follow();
});
const ready = () => {
  for (const one of document.querySelectorAll(".find")) one.hidden = false;
};
document.addEventListener("DOMContentLoaded", () => {
  ready();
  told(document.getElementById("percent"));
  follow();
});
