// Passkeys on the pages outside the console. The hub asks a question, the browser lets the person answer it, and the answer is sent as the form it belongs to.
const noPasskey = "This browser cannot use passkeys here: they need a newer browser, and an address by name with HTTPS. Use a password and a code instead.";

function say(form, words) {
  const status = form.querySelector("[role=status]");
  status.textContent = words;
  status.classList.toggle("answer", words.length > 0);
}

async function answer(form) {
  const reply = await fetch(form.dataset.question, { method: "POST", body: new URLSearchParams(new FormData(form)), credentials: "same-origin" });
  if (!reply.ok) {
    throw new Error((await reply.text()) || "The hub did not answer.");
  }

  const question = await reply.json();
  return form.dataset.passkey === "make"
    ? navigator.credentials.create({ publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(question) })
    : navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(question) });
}

for (const form of document.querySelectorAll("form[data-passkey]")) {
  form.addEventListener("submit", async (event) => {
    event.preventDefault();
    if (!window.isSecureContext || !window.PublicKeyCredential?.parseCreationOptionsFromJSON) {
      say(form, noPasskey);
      return;
    }

    const button = form.querySelector("button");
    button.disabled = true;
    say(form, "Follow what your device asks.");
    try {
      form.elements.credential.value = JSON.stringify(await answer(form));
      form.submit();
    } catch (fault) {
      button.disabled = false;
      say(form, fault.name === "NotAllowedError"
        ? "No passkey was used: it was cancelled, took too long, or none is kept here. Nothing has happened; try again."
        : fault.name === "InvalidStateError"
          ? "This device holds a passkey of this account already."
          : `No passkey was used. ${fault.message}`);
    }
  });
}
