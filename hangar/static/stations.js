/* Stations are moved with the pointer or the arrow keys. Only the figures in the form are changed here; the picture and
   what they give come from the server: one request at a time, the latest position wins, kept when the move is over. */
(() => {
  const form = document.getElementById("coupling");
  if (!form) return;
  document.documentElement.classList.add("scripted");
  const STICKY_PX = 14;
  const KEPT_AFTER = 700;
  const LARGE = 5;
  let move = null;
  let rest;

  const decimal = (0.5).toLocaleString(document.documentElement.lang)[1];
  const shownAs = (value) => String(value).replace("-", "−").replace(".", decimal);
  const read = (name, row) => {
    const box = form.elements[`${name}_${row}`];
    return box ? Number(box.value.replace("−", "-").replace(",", ".")) : NaN;
  };
  const scale = (svg) => {
    const of = (name) => Number(svg.dataset[name]);
    const [left, right, top, bottom, span] = ["left", "right", "top", "bottom", "span"].map(of);
    return {
      span, step: of("step"), fixed: "fixed" in svg.dataset,
      x: (position) => left + ((position + 100) / 200) * (right - left),
      y: (travel) => top + ((span - travel) / (2 * span)) * (bottom - top),
      position: (x) => ((x - left) / (right - left)) * 200 - 100,
      travel: (y) => span - ((y - top) / (bottom - top)) * 2 * span,
    };
  };
  const rows = () => [...document.querySelectorAll("#handles-wide .handle")].map((one) => Number(one.dataset.row));
  const between = (row) => {
    const all = rows();
    const here = all.indexOf(row);
    const low = here > 0 ? read("x", all[here - 1]) + 1 : -100;
    const high = here < all.length - 1 ? read("x", all[here + 1]) - 1 : 100;
    return [low, high];
  };
  const within = (value, low, high) => Math.min(Math.max(value, low), high);

  const put = (handle, position, travel) => {
    const row = Number(handle.dataset.row);
    const to = scale(handle.ownerSVGElement);
    const [low, high] = between(row);
    const x = to.fixed || low > high ? read("x", row) : within(position, low, high);
    const y = within(travel, -to.span, to.span);
    for (const [name, value] of [["x", x], ["travel", y]]) {
      const box = form.elements[`${name}_${row}`];
      if (read(name, row) === value) continue;
      box.value = shownAs(value);
      box.dispatchEvent(new Event("input", { bubbles: true }));
    }
    if (form.elements[`want_${row}`]) form.elements[`want_${row}`].value = "";
    for (const one of document.querySelectorAll(`.handle[data-row="${row}"]`)) {
      const at = scale(one.ownerSVGElement);
      one.setAttribute("transform", `translate(${at.x(x)} ${at.y(y)})`);
      one.setAttribute("aria-valuenow", y);
    }
  };
  const look = () => htmx.ajax("POST", form.action, { source: form, values: { do: "look" }, swap: "none" }).catch(() => {});
  const keep = () => {
    clearTimeout(rest);
    rest = undefined;
    htmx.trigger(form, "keep");
  };

  const pointAt = (svg, event) => new DOMPoint(event.clientX, event.clientY).matrixTransform(svg.getScreenCTM().inverse());
  form.addEventListener("pointerdown", (event) => {
    const handle = event.target.closest(".handle");
    if (!handle || event.button) return;
    event.preventDefault();
    handle.focus();
    handle.classList.add("held");
    handle.setPointerCapture(event.pointerId);
    const row = Number(handle.dataset.row);
    move = { handle, row, start: event.clientX, loose: false, x: read("x", row), moved: false };
  });
  form.addEventListener("pointermove", (event) => {
    if (!move) return;
    const to = scale(move.handle.ownerSVGElement);
    const point = pointAt(move.handle.ownerSVGElement, event);
    // A station that is moved up and down stays where it is along the control, until the pointer clearly leaves it.
    move.loose ||= Math.abs(event.clientX - move.start) > STICKY_PX;
    move.moved = true;
    const snapped = Math.round(to.travel(point.y) / to.step) * to.step;
    put(move.handle, move.loose ? Math.round(to.position(point.x)) : move.x, snapped);
    look();
  });
  const over = () => {
    if (!move) return;
    move.handle.classList.remove("held");
    const moved = move.moved;
    move = null;
    if (moved) keep();
  };
  form.addEventListener("pointerup", over);
  form.addEventListener("pointercancel", over);

  const KEYS = {
    ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0], PageUp: [0, 10], PageDown: [0, -10],
  };
  form.addEventListener("keydown", (event) => {
    const handle = event.target.closest?.(".handle");
    if (!handle) return;
    const row = Number(handle.dataset.row);
    const to = scale(handle.ownerSVGElement);
    const by = event.shiftKey ? LARGE : 1;
    const ends = { Home: -to.span, End: to.span };
    if (event.key in ends) put(handle, read("x", row), ends[event.key]);
    else if (event.key in KEYS) {
      const [along, up] = KEYS[event.key];
      put(handle, read("x", row) + along * by, read("travel", row) + up * by * to.step);
    } else return;
    event.preventDefault();
    look();
    clearTimeout(rest);
    rest = setTimeout(keep, KEPT_AFTER);
  });
  form.addEventListener("focusout", (event) => { if (rest && event.target.closest(".handle")) keep(); });

  // A shape is taken with its button, and a reason is no part of the draft: leaving these boxes saves nothing.
  form.addEventListener("change", (event) => {
    if (["slope", "middle", "low", "high", "start", "end", "reach", "reason"].includes(event.target.name)) event.stopPropagation();
  }, true);

  // A handle under the hand stays: only what it says is taken over.
  document.body.addEventListener("htmx:oobBeforeSwap", (event) => {
    const part = event.detail.target;
    if (!part.classList.contains("handles") || !(move || rest || part.contains(document.activeElement))) return;
    const fresh = event.detail.fragment;
    const mine = [...part.querySelectorAll(".handle")];
    if (fresh.querySelectorAll(".handle").length !== mine.length) { event.detail.shouldSwap = !move; return; }
    event.detail.shouldSwap = false;
    for (const one of mine) {
      const said = fresh.querySelector(`#${one.id}`);
      if (said) one.setAttribute("aria-valuetext", said.getAttribute("aria-valuetext"));
    }
  });
})();
