// Facts about the page that only the browser knows. What a key means is decided in Workbench/Hearing/HandKeys.cs.

export function openDialog(dialog) {
  if (!dialog.open) {
    dialog.showModal();
  }
}

export function focusOn(id) {
  document.getElementById(id)?.focus();
}

export function focusIfLost(id) {
  if (document.activeElement === null || document.activeElement === document.body) {
    focusOn(id);
  }
}

export function listenForKeys(owner) {
  const onKey = event => {
    const target = event.target instanceof Element ? event.target : document.body;
    const typing = target.closest("input, textarea, select, [contenteditable]") !== null
      || document.querySelector("dialog[open]") !== null;
    const onControl = target.closest("button, a[href], summary") !== null;
    const modified = event.ctrlKey || event.altKey || event.metaKey;
    // The call returns before the browser acts on the key, so that a key taken here does not scroll the page as well.
    if (owner.invokeMethod("KeyPressed", event.key, typing, onControl, modified, event.repeat)) {
      event.preventDefault();
    }
  };
  document.addEventListener("keydown", onKey);
  return { stop: () => document.removeEventListener("keydown", onKey) };
}
