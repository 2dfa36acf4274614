// A page can move under the pointer: a picture comes from the hub between pressing and letting go, and what was pressed lies elsewhere by then.
// The browser takes a press with the mouse for a press of nothing then, and one by finger for a press of whatever came to lie there.
// Whoever presses means what lay there when they pressed.

const pressable = "button, a[href], summary, label, input[type=checkbox], input[type=radio]";

// Letting go farther away than this is thinking better of it, which must stay possible (WCAG 2.5.2).
const farthestPx = 8;

let pressed = null;

// Nothing that can be pressed is something too: what comes to lie under a finger that only touched the page is not meant.
function isMeant(target) {
  const under = target.closest(pressable);
  return under === pressed.what || under?.contains(pressed.where);
}

document.addEventListener("pointerdown", event => {
  pressed = event.isPrimary && event.button === 0
    ? { what: event.target.closest(pressable), where: event.target, x: event.clientX, y: event.clientY }
    : null;
}, true);

document.addEventListener("pointercancel", () => { pressed = null; }, true);

// By finger this comes only when it is lifted, and would give the focus to what lies there now.
document.addEventListener("mousedown", event => {
  if (pressed !== null && !isMeant(event.target)) {
    event.preventDefault();
  }
}, true);

document.addEventListener("click", event => {
  // A click without a pointer, by key or by script, has no place where it began.
  if (event.detail === 0 || pressed === null) {
    return;
  }
  const { what, x, y } = pressed;
  const meant = isMeant(event.target);
  pressed = null;
  if (meant) {
    return;
  }
  event.preventDefault();
  event.stopImmediatePropagation();
  // Not what has left the page or lies behind a dialog that came, and not a link that was to open elsewhere.
  const dialog = [...document.querySelectorAll("dialog[open]")].at(-1);
  const modified = event.ctrlKey || event.metaKey || event.shiftKey;
  if (what?.isConnected && (dialog === undefined || dialog.contains(what)) && !modified
    && Math.hypot(event.clientX - x, event.clientY - y) <= farthestPx) {
    what.click();
  }
}, true);
