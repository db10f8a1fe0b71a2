// A device signs what the page asks for (WebAuthn); then the form goes as any other.
"use strict";
(() => {
  const form = document.querySelector("form[data-passkey]");
  const asked = JSON.parse(document.getElementById(form.dataset.passkey).textContent).publicKey;
  const answer = form.querySelector('input[name$="passkey"]');
  const say = (which) => {
    form.querySelector(`[data-${which}]`).hidden = false;
  };
  const makes = "user" in asked;
  if (!window.PublicKeyCredential?.parseRequestOptionsFromJSON) say("unable");
  form.addEventListener("submit", async (event) => {
    if (answer.value) return;
    event.preventDefault();
    try {
      const given = makes
        ? await navigator.credentials.create({ publicKey: PublicKeyCredential.parseCreationOptionsFromJSON(asked) })
        : await navigator.credentials.get({ publicKey: PublicKeyCredential.parseRequestOptionsFromJSON(asked) });
      answer.value = JSON.stringify(given.toJSON());
    } catch (error) {
      say(error.name === "SecurityError" || error instanceof TypeError ? "unable" : "cancelled");
      return;
    }
    form.requestSubmit();
  });
})();
