/* What is typed is sent when a box is left. Where it cannot be sent it stays in its box, is said to be unsaved, and is
   sent again until it is kept. One request at a time; an answer never overwrites what was typed since it was asked. */
(() => {
  const form = document.querySelector("form[data-keep]");
  if (!form) return;
  const AT_MOST = 15000;
  const boxes = () => form.querySelectorAll("input:not([type=hidden]), select");
  const values = () => new Map([...boxes()].map((box) => [box.name, box.value]));
  let sent = values();
  let unsaved = false;
  let overtaken = false;
  let wait = 500;
  let timer;
  let busy = false;
  let pressed = null;
  let chosen = null;

  const say = (text) => {
    const kept = document.getElementById("kept");
    const state = document.createElement("span");
    state.className = "state grounded";
    state.textContent = text;
    kept.replaceChildren(state);
  };
  const again = () => {
    clearTimeout(timer);
    timer = undefined;
    htmx.trigger(form, "keep");
  };
  const failed = (request) => {
    unsaved = true;
    const elsewhere = request.status === 200 || request.status === 403;
    say(elsewhere ? form.dataset.signedOut : form.dataset.unsaved);
    clearTimeout(timer);
    wait = Math.min(2 * wait, AT_MOST);
    timer = setTimeout(again, wait);
  };
  const kept = () => {
    unsaved = overtaken;
    wait = 500;
    clearTimeout(timer);
    timer = undefined;
  };

  form.addEventListener("input", () => { unsaved = true; });
  document.body.addEventListener("htmx:configRequest", (event) => {
    if (event.detail.elt === form) sent = values();
  });
  document.body.addEventListener("htmx:beforeOnLoad", (event) => {
    if (event.detail.elt === form) overtaken = [...values()].some(([name, value]) => sent.get(name) !== value);
  });
  document.body.addEventListener("htmx:oobBeforeSwap", (event) => {
    const part = event.detail.target;
    const typed = [...part.querySelectorAll("input:not([type=hidden])")].some((box) => sent.get(box.name) !== box.value);
    if (typed) event.detail.shouldSwap = false;
    // Who came to a box by Enter or Tab types over what stands in it, also where that is drawn anew meanwhile; who
    // pointed between two figures goes on there.
    const box = document.activeElement;
    const inside = !typed && part.contains(box) && typeof box.selectionStart === "number";
    const whole = inside && box.selectionStart === 0 && box.selectionEnd === box.value.length;
    chosen = inside ? { id: box.id, start: box.selectionStart, end: box.selectionEnd, whole } : null;
  });
  document.body.addEventListener("htmx:oobAfterSwap", () => {
    const box = chosen && document.getElementById(chosen.id);
    if (box && chosen.whole) box.select();
    else if (box) box.setSelectionRange(chosen.start, chosen.end);
    chosen = null;
  });
  document.body.addEventListener("htmx:beforeRequest", (event) => {
    if (event.detail.elt === form) busy = true;
  });
  document.body.addEventListener("htmx:afterRequest", (event) => {
    if (event.detail.elt !== form) return;
    busy = false;
    const request = event.detail.xhr;
    const said = event.detail.successful ? request.getResponseHeader("HX-Trigger") : "";
    if (said === "kept") kept();
    else if (said !== "looked") failed(request);
    if (pressed) setTimeout(press);
  });
  window.addEventListener("online", () => { if (unsaved) again(); });
  window.addEventListener("pagehide", () => {
    if (unsaved) navigator.sendBeacon(form.action, new FormData(form));
  });
  window.addEventListener("beforeunload", (event) => {
    if (unsaved && !navigator.onLine) event.preventDefault();
  });

  // Enter leaves a box downwards, as in a list of figures; leaving it is what sends it.
  form.addEventListener("keydown", (event) => {
    const box = event.target;
    if (event.key !== "Enter" || !box.dataset.column) return;
    event.preventDefault();
    const column = [...form.querySelectorAll(`[data-column="${box.dataset.column}"]`)];
    const next = column[column.indexOf(box) + 1];
    if (next) next.select();
    (next || box)[next ? "focus" : "blur"]();
  });
  // A button that only saves does what leaving a box does. Any other waits for what is on its way: sent at once, the
  // form would name a draft that is being overtaken.
  const press = () => {
    if (busy || !pressed) return;
    const button = pressed;
    pressed = null;
    if (!timer) form.requestSubmit(button);
  };
  form.addEventListener("submit", (event) => {
    const only = event.submitter === null || ["work", "save"].includes(event.submitter.value);
    if (!busy && !only && navigator.onLine) {
      unsaved = false;
      return;
    }
    event.preventDefault();
    if (only) again();
    else if (busy) pressed = event.submitter;
    else failed({ status: 0 });
  });

  // A box in which one types takes back its own letters; anywhere else the keys go through the edits of the draft.
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey || event.target.matches?.("input:not([type=checkbox]), textarea, select")) return;
    const key = event.key.toLowerCase();
    const step = key === "y" || (key === "z" && event.shiftKey) ? "again" : key === "z" ? "back" : "";
    const button = step && form.querySelector(`[data-step="${step}"]`);
    if (!button) return;
    event.preventDefault();
    button.click();
  });
})();
