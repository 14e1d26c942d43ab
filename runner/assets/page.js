// What is open stays open, and who loses the connection is told: a page without this works all the same.
"use strict";
const open = new Set();
document.addEventListener("htmx:beforeSwap", () => {
  open.clear();
  for (const one of document.querySelectorAll("details[open][id]")) open.add(one.id);
});
document.addEventListener("htmx:afterSettle", () => {
  for (const id of open) document.getElementById(id)?.setAttribute("open", "");
});
const gone = (is) => {
  const notice = document.getElementById("gone");
  if (notice) notice.hidden = !is;
};
document.addEventListener("htmx:sendError", () => gone(true));
document.addEventListener("htmx:afterRequest", (event) => {
  if (event.detail.xhr?.status) gone(false);
});
