// One act a screen: keys to step a figure up and down, and the tap pad instead of typed times.
(() => {
  const form = document.getElementById("act");
  if (!form) return;
  const typed = document.getElementById("typed");
  if (typed && document.getElementById("tapper")) typed.open = false;
  const stepOf = (value) => (value ? 10 ** (Math.floor(Math.log10(Math.abs(value))) - 1) : 1);
  const key = (box, way) => {
    const button = document.createElement("button");
    button.type = "button";
    button.className = `step ${way < 0 ? "less" : "more"}`;
    button.textContent = way < 0 ? "−" : "+";
    button.setAttribute("aria-label", `${button.textContent} ${box.labels?.[0]?.textContent ?? ""}`.trim());
    button.addEventListener("click", () => {
      const now = Number(box.value.replace(",", ".")) || 0;
      const step = stepOf(now);
      box.value = String(Number((Math.round(now / step + way) * step).toPrecision(8)));
      box.dispatchEvent(new Event("input", { bubbles: true }));
    });
    return button;
  };
  for (const box of form.querySelectorAll(".entry .with-unit input[inputmode]")) {
    box.before(key(box, -1));
    box.after(key(box, 1));
  }
})();
