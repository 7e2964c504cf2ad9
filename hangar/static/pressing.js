/* Leaving a box sends it, and the answer may move what one is about to press, or draw it anew, between the pointer's
   going down on it and its coming up. A press counts where it went down, if only the page moved and not the pointer. */
(() => {
  const STILL_PX = 8;
  const PRESSED = "a[href], button, label, summary";
  let down = null;
  const plain = (event) => !(event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey);
  const place = (one) => {
    const box = one.getBoundingClientRect();
    return `${box.left} ${box.top}`;
  };

  document.addEventListener("pointerdown", (event) => {
    const pressed = plain(event) && event.target.closest(PRESSED);
    down = pressed ? { pressed, place: place(pressed), x: event.clientX, y: event.clientY } : null;
  });
  document.addEventListener("pointercancel", () => { down = null; });
  document.addEventListener("pointerup", (event) => {
    const held = down;
    down = null;
    if (!held || !plain(event) || held.pressed.contains(event.target)) return;
    const stayed = Math.hypot(event.clientX - held.x, event.clientY - held.y) <= STILL_PX;
    if (!stayed || place(held.pressed) === held.place) return;
    const now = held.pressed.isConnected ? held.pressed : document.getElementById(held.pressed.id);
    if (now) now.click();
  });
})();
