// Copies a link where the browser allows it; where it does not, or without script, the link is there to be selected.
"use strict";

const link = document.getElementById("link");
const button = document.getElementById("copy");

link.addEventListener("focus", () => link.select());
if (navigator.clipboard) {
  button.hidden = false;
  button.addEventListener("click", async () => {
    const said = document.getElementById("copied");
    try {
      await navigator.clipboard.writeText(link.value);
      said.textContent = link.dataset.copied;
    } catch {
      link.focus();
      said.textContent = link.dataset.selected;
    }
  });
}
