// The drawing follows what is typed: the server draws it, and only the latest answer is shown.
(() => {
  const form = document.querySelector("form[data-draws]");
  if (!form) return;
  form.querySelector('[name="draw"]').hidden = true;
  let wait = 0, turn = 0;
  const draw = async () => {
    const mine = ++turn;
    const sent = new URLSearchParams();
    for (const [name, value] of new FormData(form)) {
      if (!name.startsWith("_") && typeof value === "string") sent.append(name, value);
    }
    sent.append("_units", form.elements._units.value);
    try {
      const answer = await fetch(`${form.dataset.draws}?${sent}`);
      if (!answer.ok || mine !== turn) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const drawn = page.getElementById("drawn");
      if (drawn && mine === turn) document.getElementById("drawn").replaceWith(drawn);
    } catch { /* no connection: the drawing stays as it was */ }
  };
  form.addEventListener("input", () => { clearTimeout(wait); wait = setTimeout(draw, 350); });
})();
