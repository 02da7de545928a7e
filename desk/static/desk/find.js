"use strict";
// "/" leads to the search in the masthead. The week sheet has keys of its own and is left to them.
document.addEventListener("keydown", (event) => {
  if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey || event.defaultPrevented) return;
  if (document.getElementById("keys") || document.querySelector("dialog[open]")) return;
  if (event.target.matches("input:not([type=checkbox]):not([type=radio]), textarea, select, [contenteditable]")) return;
  const field = document.getElementById("find");
  if (!field || localStorage.getItem("bluestem-keys") === "off") return;
  event.preventDefault();
  field.select();
});
