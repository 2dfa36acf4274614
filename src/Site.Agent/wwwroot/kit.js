// Keys and touch of the kit screen: the response pad, and stop by Escape or by its button.

let pad = null;
let page = null;
let down = false;

function move(next) {
  if (down === next || !pad) {
    return;
  }
  down = next;
  pad.classList.toggle("pressed", down);
  page?.invokeMethodAsync("Moved", down).catch(() => { });
}

export function watchPad(element, reference) {
  pad = element;
  page = reference;
  pad.addEventListener("pointerdown", event => {
    event.preventDefault();
    pad.setPointerCapture(event.pointerId);
    pad.focus({ preventScroll: true });
    move(true);
  });
  for (const over of ["pointerup", "pointercancel", "lostpointercapture"]) {
    pad.addEventListener(over, () => move(false));
  }
  pad.addEventListener("contextmenu", event => event.preventDefault());
  pad.focus({ preventScroll: true });
}

export function releasePad() {
  move(false);
  pad = null;
  page = null;
}

function stop() {
  fetch("/stop", { method: "POST", keepalive: true, headers: { Accept: "*/*" } }).catch(() => { });
}

function onAnotherButton() {
  const holder = document.activeElement?.closest("button, a, input, textarea, select");
  return holder && holder !== pad;
}

// the module is loaded twice, by the page and by the pad; the browser runs it once
document.addEventListener("keydown", event => {
  if (event.key === "Escape") {
    event.preventDefault();
    stop();
  } else if (event.code === "Space" && pad && !onAnotherButton()) {
    event.preventDefault();
    if (!event.repeat) {
      move(true);
    }
  }
});

document.addEventListener("keyup", event => {
  if (event.code === "Space" && pad && !onAnotherButton()) {
    event.preventDefault();
    move(false);
  }
});

window.addEventListener("blur", () => move(false));

document.addEventListener("submit", event => {
  if (event.target.matches("[data-stop]")) {
    event.preventDefault();
    stop();
  }
});

// when the program was started anew, its old page cannot go on: load it again
const waking = document.getElementById("components-reconnect-modal");
setInterval(async () => {
  if (waking && /components-reconnect-(failed|rejected|show|retrying)/.test(waking.className)) {
    try {
      const answer = await fetch("/", { cache: "no-store" });
      if (answer.ok && /failed|rejected/.test(waking.className)) {
        location.reload();
      }
    } catch {
      // not back yet
    }
  }
}, 1000);
