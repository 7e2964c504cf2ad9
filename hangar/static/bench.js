/* The response that is drawn follows the control that is moved; without this, it is chosen in its own field. And keys of
   the bench's own: they act only while one of its controls has the focus, and never together with Ctrl, Alt or Meta. */
(() => {
  const form = document.querySelector(".bench-controls");
  if (!form) return;
  const keys = form.querySelector(".bench-keys");
  const controls = [...form.querySelectorAll(".bench-control")];
  const TENTH = 10;
  let last = controls[0];

  document.addEventListener("input", (event) => {
    const shown = document.getElementById("id_response");
    const name = event.target.name || "";
    if (!shown || !name.startsWith("at_")) return;
    const key = name.slice(3);
    if ([...shown.options].some((option) => option.value === key)) shown.value = key;
  }, true);

  const inputs = (control) => [...control.querySelectorAll("input")];
  const isSlider = (control) => inputs(control)[0].type === "range";
  const at = (control) => Number(isSlider(control) ? inputs(control)[0].value : inputs(control).find((one) => one.checked)?.value);
  const positions = (control) => inputs(control).map((one) => Number(one.value)).sort((a, b) => a - b);
  const nearest = (all, to) => all.reduce((best, one) => (Math.abs(one - to) < Math.abs(best - to) ? one : best));
  const focus = (control) => (inputs(control).find((one) => one.checked) || inputs(control)[0]).focus();

  /* Puts a control there, or a switch to the position next to it; the input that was changed, if any. */
  const put = (control, to) => {
    if (isSlider(control)) {
      const [slider] = inputs(control);
      const before = slider.value;
      slider.value = Math.min(Math.max(to, -100), 100);
      return slider.value === before ? null : slider;
    }
    const there = nearest(positions(control), to);
    if (at(control) === there) return null;
    const input = inputs(control).find((one) => Number(one.value) === there);
    input.checked = true;
    if (control.contains(document.activeElement)) input.focus();
    return input;
  };
  const ask = (changed) => changed?.dispatchEvent(new Event("input", { bubbles: true }));
  const step = (control, by) => {
    if (isSlider(control)) return put(control, (by > 0 ? Math.floor(at(control) / TENTH) : Math.ceil(at(control) / TENTH)) * TENTH + by * TENTH);
    const all = positions(control);
    return put(control, all[Math.min(Math.max(all.indexOf(at(control)) + by, 0), all.length - 1)]);
  };
  const next = (by) => focus(controls[(controls.indexOf(last) + by + controls.length) % controls.length]);
  const rest = () => ask(controls.map((control) => put(control, Number(control.dataset.rest))).filter(Boolean).pop());
  const phase = (number) => {
    const place = form.dataset.phases?.split(" ")[number - 1];
    const control = controls.find((one) => inputs(one)[0].name === form.dataset.phaseControl);
    if (place && control) ask(put(control, Number(place)));
    return Boolean(place && control);
  };
  const list = () => {
    keys.open = !keys.open;
    if (keys.open) keys.querySelector("summary").focus();
    else focus(last);
  };

  const ACTS = {
    "+": () => ask(step(last, 1)), "=": () => ask(step(last, 1)), "-": () => ask(step(last, -1)), "−": () => ask(step(last, -1)),
    Home: () => ask(put(last, -100)), End: () => ask(put(last, 100)), m: () => ask(put(last, 0)),
    n: () => next(1), N: () => next(-1), r: rest, "?": list,
  };
  form.addEventListener("focusin", (event) => {
    last = event.target.closest(".bench-control") || last;
  });
  form.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.altKey || event.metaKey || event.isComposing || event.target.matches("select")) return;
    const act = ACTS[event.key] || (/^[1-9]$/.test(event.key) && (() => phase(Number(event.key))));
    if (act && act() !== false) event.preventDefault();
  });
  form.classList.add("has-keys");
})();
