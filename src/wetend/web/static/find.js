// Filters a list while one types; without script the form that the box stands in searches.
// Also closes the navigation's lists at a tap elsewhere or the Escape key.
(() => {
  const plain = (text) => text.normalize("NFKD").replace(/\p{M}/gu, "").toLowerCase();
  for (const box of document.querySelectorAll("input[data-filters]")) {
    const list = document.getElementById(box.dataset.filters);
    if (!list) continue;
    const lines = [...list.querySelectorAll("[data-find]")];
    const none = document.getElementById(`${box.dataset.filters}-none`);
    const filter = () => {
      const words = plain(box.value).split(/\s+/).filter(Boolean);
      let left = 0;
      for (const line of lines) {
        const text = plain(`${line.textContent} ${line.dataset.find}`);
        line.hidden = !words.every((word) => text.includes(word));
        left += !line.hidden;
      }
      for (const group of list.querySelectorAll("[data-group]")) {
        const any = group.querySelector("[data-find]:not([hidden])");
        group.hidden = !any;
        if (group.tagName === "DETAILS") {
          group.dataset.was ??= group.open ? "open" : "";
          group.open = words.length ? Boolean(any) : group.dataset.was === "open";
        }
      }
      if (none) none.hidden = left > 0;
    };
    box.addEventListener("input", filter);
    if (box.value) filter();
  }
  const open = () => document.querySelectorAll(".drop[open]");
  addEventListener("click", ({ target }) => open().forEach((d) => { if (!d.contains(target)) d.open = false; }));
  addEventListener("keydown", ({ key }) => {
    if (key === "Escape") open().forEach((d) => { d.open = false; d.querySelector("summary").focus(); });
  });
})();
