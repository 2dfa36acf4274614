// A page can move under the pointer: a picture comes from the hub between pressing and letting go, what was pressed lies
// elsewhere by then, and the browser takes it for a press of nothing. Whoever presses means what lay there when they pressed.

const pressable = "button, a[href], summary, label, input[type=checkbox], input[type=radio]";

// Letting go farther away than this is thinking better of it, which must stay possible (WCAG 2.5.2).
const farthestPx = 8;

let pressed = null;

document.addEventListener("pointerdown", event => {
  pressed = event.isPrimary && event.button === 0
    ? { what: event.target.closest(pressable), x: event.clientX, y: event.clientY }
    : null;
}, true);

document.addEventListener("pointercancel", () => { pressed = null; }, true);

document.addEventListener("click", event => {
  // A click without a pointer, by key or by script, has no place it was pressed at.
  const meant = event.detail > 0 ? pressed : null;
  pressed = null;
  if (meant?.what == null || meant.what.contains(event.target)
    || Math.hypot(event.clientX - meant.x, event.clientY - meant.y) > farthestPx) {
    return;
  }
  // Nothing else is pressed in its place. What a dialog or a cover has come over meanwhile is not pressed either.
  event.preventDefault();
  event.stopImmediatePropagation();
  const dialog = document.querySelector("dialog[open]");
  if (meant.what.isConnected && (dialog === null || dialog.contains(meant.what))) {
    meant.what.click();
  }
}, true);
