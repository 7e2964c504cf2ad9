/* Leaving a box sends it, and the answer may move what one is about to press, or draw it anew, between the pointer's
   going down on it and its coming up. A press counts where it went down, as long as the pointer stayed where it was. */
(() => {
  const STILL_PX = 8;
  const PRESSED = "a[href], button, label, summary";
  let down = null;
  const plain = (event) => !(event.button || event.ctrlKey || event.metaKey || event.shiftKey || event.altKey);
  const stayed = (event) => Math.hypot(event.clientX - down.x, event.clientY - down.y) <= STILL_PX;

  document.addEventListener("pointerdown", (event) => {
    const pressed = plain(event) && event.target.closest(PRESSED);
    down = pressed ? { pressed, x: event.clientX, y: event.clientY } : null;
  });
  document.addEventListener("pointercancel", () => { down = null; });
  document.addEventListener("pointerup", (event) => {
    if (down && plain(event) && stayed(event) && !down.pressed.contains(event.target)) {
      const { pressed } = down;
      const now = pressed.isConnected ? pressed : pressed.id && document.getElementById(pressed.id);
      if (now) now.click();
    }
    down = null;
  });
})();
