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

// Stop. A press is kept here until the program says that it has it: it is sent again and again, and it outlives a reload and a new start of the
// program. It never grows too old: whoever pressed has not been answered, and only the clinician may resume.
// No sound can be on while the program is gone, for the loop that feeds the sound device runs inside it; what is left to do is to take the
// earphones off, and to see to it that the program starts silent.
const owedKey = "stop-owed";
const longestAnswerMs = 5000;
const soonMs = 1500;
const everyMs = 500;
const sameTouchMs = 400;
let owed = recall();
let silent = false; // whether the program left the last question without an answer
let sending = 0; // requests under way; one press is not sent twice while it may still be answered
let running = document.body.dataset.program; // which run of the program answers

function recall() {
  try {
    return localStorage.getItem(owedKey);
  } catch {
    return null; // no storage in this browser: the press is then kept for as long as the page is open
  }
}

function keep(press) {
  owed = press;
  try {
    if (press === null) {
      localStorage.removeItem(owedKey);
    } else {
      localStorage.setItem(owedKey, press);
    }
  } catch {
    // see recall
  }
}

// what is owed names where it goes: consent taken back is a stop too, and a stop pressed after it does not take it away
const takenBack = "-take-back";

function stop(back = false) {
  keep(`${Date.now()}-${Math.random()}${back || owed?.endsWith(takenBack) ? takenBack : ""}`);
  draw();
  deliver();
  setTimeout(draw, soonMs);
}

async function deliver() {
  const press = owed;
  sending++;
  try {
    const answer = await fetch(press.endsWith(takenBack) ? "/take-back" : "/stop", { method: "POST", keepalive: true, headers: { Accept: "*/*" }, signal: AbortSignal.timeout(longestAnswerMs) });
    silent = !answer.ok;
    // pressed again meanwhile: that press is still to be delivered
    if (answer.ok && owed === press) {
      keep(null);
    }
  } catch {
    silent = true;
  } finally {
    sending--;
  }
  draw();
}

async function ask() {
  try {
    const answer = await fetch("/alive", { cache: "no-store", signal: AbortSignal.timeout(longestAnswerMs) });
    silent = !answer.ok;
    if (answer.ok) {
      running = await answer.text();
    }
  } catch {
    silent = true;
  }
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

// Stop counts from the moment it is touched, with whichever finger: a touch beside a finger that holds the pad never becomes a click.
let touched = false;

document.addEventListener("pointerdown", event => {
  if (event.target.closest("[data-stop] button")) {
    touched = true;
    stop();
  }
}, true);

for (const over of ["pointerup", "pointercancel"]) {
  // The click of that touch comes right after it, and is no second stop.
  document.addEventListener(over, () => setTimeout(() => { touched = false; }, sameTouchMs), true);
}

document.addEventListener("contextmenu", event => {
  if (event.target.closest("[data-stop], [data-take-back]")) {
    event.preventDefault();
  }
});

document.addEventListener("submit", event => {
  if (event.target.matches("[data-stop]") && touched) {
    event.preventDefault();
    touched = false;
  } else if (event.target.matches("[data-stop], [data-take-back]")) {
    event.preventDefault();
    stop(event.target.matches("[data-take-back]"));
  }
});

// what the page says while it is cut off: nothing that is not so
const cut = document.getElementById("cut");
const connection = document.getElementById("components-reconnect-modal");

function isBroken() {
  return /components-reconnect-(failed|rejected|show|retrying)/.test(connection?.className ?? "");
}

function isOverdue() {
  return owed !== null && !(Date.now() - Number.parseInt(owed, 10) < soonMs);
}

function sentences() {
  if (silent || isOverdue()) {
    return ["The kit's program does not answer. Take the earphones off.", owed === null ? "Press Stop if you want to stop. The press is kept." : "Your Stop is taken and kept. The kit gets it when its program answers."];
  }
  return isBroken() ? ["Please wait. The screen is starting again."] : [];
}

function draw() {
  const said = sentences();
  document.body.classList.toggle("stop-taken", owed !== null);
  document.body.classList.toggle("cut-off", said.length > 0);
  // written only when it changes, or it would be read aloud every time
  if (cut && cut.textContent !== said.join("")) {
    cut.replaceChildren(...said.map(sentence => Object.assign(document.createElement("p"), { textContent: sentence })));
  }
}

let looking = false;
async function look() {
  if (looking) {
    return;
  }
  looking = true;
  try {
    if (owed !== null && sending === 0) {
      await deliver();
    }
    if (owed === null) {
      await ask();
    }
    draw();
    // when the program was started anew, its old page cannot go on: load it again, once it has the stop
    const isOld = running !== document.body.dataset.program || /failed|rejected/.test(connection?.className ?? "");
    if (!silent && owed === null && isOld) {
      location.reload();
    }
  } finally {
    looking = false;
  }
}

if (connection) {
  new MutationObserver(look).observe(connection, { attributeFilter: ["class"] });
}
setInterval(look, everyMs);
look();
