// A drawer that is open stays open, who loses the connection is told, and what changes by itself does: a page without this
// works all the same.
"use strict";
const open = new Set();
document.addEventListener("htmx:beforeSwap", () => {
  open.clear();
  for (const one of document.querySelectorAll("details[open][id^='kind-']")) open.add(one.id);
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

document.addEventListener("htmx:afterSettle", () => {
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
  came = Date.now();
  follow();
});
document.addEventListener("DOMContentLoaded", follow);
