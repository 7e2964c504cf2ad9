// Copies a link where the browser allows it; without script the link is there to be selected.
"use strict";

const link = document.getElementById("link");
const button = document.getElementById("copy");

link.addEventListener("focus", () => link.select());
if (navigator.clipboard) {
  button.hidden = false;
  button.addEventListener("click", async () => {
    await navigator.clipboard.writeText(link.value);
    document.getElementById("copied").textContent = link.dataset.copied;
  });
}
