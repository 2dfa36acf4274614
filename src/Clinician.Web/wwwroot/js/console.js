// Facts about the page that only the browser knows. What a key means is decided in Workbench/Hearing/HandKeys.cs.

// A dialog that is taken away does not give the focus back by itself, and whoever works by keyboard would start again at the top.
let opener = null;

export function openDialog(dialog) {
  if (!dialog.open) {
    opener = document.activeElement;
    dialog.showModal();
  }
}

// Called while the dialog still stands in the page; what lies behind it takes no focus until it is gone.
export function dialogGone() {
  const back = opener;
  opener = null;
  setTimeout(() => {
    if (back?.isConnected && back !== document.body) {
      back.focus();
    } else {
      focusIfLost("stage-title");
    }
  });
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

// Arrow keys from kit to kit in the board. The list is looked up with every key, for a page turned or a filter typed makes it anew.
export function walkRows(owner, boardClass, findId) {
  const onKey = event => {
    const target = event.target instanceof Element ? event.target : document.body;
    const typing = target.closest("input, textarea, select, [contenteditable]") !== null || document.querySelector("dialog[open]") !== null;
    if (typing || event.ctrlKey || event.altKey || event.metaKey) {
      return;
    }
    if (event.key === "/") {
      event.preventDefault();
      focusOn(findId);
      return;
    }
    const inBoard = target.closest("." + boardClass) !== null;
    if (!inBoard) {
      return;
    }
    const rows = [...document.querySelectorAll(`.${boardClass} a[data-row]`)];
    const at = rows.indexOf(target.closest("tr")?.querySelector("a[data-row]"));
    const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: rows.length - 1 }[event.key];
    if (to !== undefined) {
      event.preventDefault();
      rows[Math.max(0, Math.min(rows.length - 1, to))]?.focus();
    } else if (event.key === "PageDown" || event.key === "PageUp") {
      event.preventDefault();
      owner.invokeMethodAsync("TurnPage", event.key === "PageDown" ? 1 : -1)
        .then(() => document.querySelector(`.${boardClass} a[data-row]`)?.focus());
    }
  };
  document.addEventListener("keydown", onKey);
  return { stop: () => document.removeEventListener("keydown", onKey) };
}

// Keys of one element only; Tab and whatever is not in the list stay the browser's.
export function listenOn(element, owner, keys) {
  const onKey = event => {
    if (!event.ctrlKey && !event.altKey && !event.metaKey && keys.includes(event.key)) {
      event.preventDefault();
      owner.invokeMethodAsync("KeyPressed", event.key, event.shiftKey);
    }
  };
  element.addEventListener("keydown", onKey);
  return { stop: () => element.removeEventListener("keydown", onKey) };
}

// Says that somebody is there. At most once a second: the pointer moves far oftener than anybody needs to know.
export function listenForUse(owner) {
  let said = -1000;
  const onUse = () => {
    const now = performance.now();
    if (now - said >= 1000) {
      said = now;
      owner.invokeMethodAsync("SomebodyIsThere");
    }
  };
  const kinds = ["keydown", "pointerdown", "pointermove", "wheel"];
  kinds.forEach(kind => document.addEventListener(kind, onUse, { capture: true, passive: true }));
  return { stop: () => kinds.forEach(kind => document.removeEventListener(kind, onUse, { capture: true })) };
}

// Asks the device for a passkey of this person. The answer goes to the hub as it is; only the hub can tell whether it is right.
export async function askPasskey(question) {
  const credential = await navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(JSON.parse(question)) });
  return JSON.stringify(credential);
}
