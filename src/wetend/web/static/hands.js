// Hands busy: reads the page aloud in the browser's own voice, keeps the screen on, vibrates at a
// tap. Each only where it is switched on for this device.
(() => {
  const { dataset } = document.body;
  if ("buzz" in dataset && navigator.vibrate) {
    addEventListener("click", ({ target }) => {
      if (target.closest?.("button, summary, .option, .button, a.line")) navigator.vibrate(15);
    });
  }
  if ("awake" in dataset && navigator.wakeLock) {
    const hold = () => {
      if (document.visibilityState === "visible") {
        navigator.wakeLock.request("screen").catch(() => { /* battery low, or barred */ });
      }
    };
    document.addEventListener("visibilitychange", hold);
    hold();
  }
  const voice = window.speechSynthesis;
  if (!("aloud" in dataset) || !voice) return;
  const READ = "h1, h2, h3, p, li, dt, dd, legend, label, summary, th, td, figcaption";
  const shown = (e) => e.getClientRects().length > 0 && !e.closest("form[action='/preferences'], .hide, svg");
  const lines = () => {
    const parts = [...document.querySelectorAll(`main :is(${READ})`)].filter(shown);
    const inner = parts.filter((e) => !parts.some((other) => other !== e && e.contains(other)));
    return inner.map((e) => e.innerText.replace(/\s+/g, " ").trim()).filter(Boolean);
  };
  const button = document.createElement("button");
  button.id = "aloud";
  button.type = "button";
  button.className = "do second";
  const label = () => {
    button.textContent = voice.speaking ? dataset.sayQuiet : dataset.sayAloud;
  };
  button.addEventListener("click", () => {
    if (voice.speaking) {
      voice.cancel();
      setTimeout(label, 50);
      return;
    }
    for (const line of lines()) {
      const said = new SpeechSynthesisUtterance(line);
      said.lang = document.documentElement.lang;
      said.onend = label;
      voice.speak(said);
    }
    setTimeout(label, 50);
  });
  label();
  document.body.append(button);
  addEventListener("pagehide", () => voice.cancel());
})();
