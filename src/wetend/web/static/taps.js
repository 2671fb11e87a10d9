// Time strokes by tapping at each turn. Without script the times are typed.
(() => {
  const box = document.getElementById("tapper");
  if (!box) return;
  const by = (id) => document.getElementById(id);
  const field = { up: by(box.dataset.up), down: by(box.dataset.down) };
  if (!field.up || !field.down) return;
  const pad = by("tap-pad");
  const other = { up: "down", down: "up" };
  let taps = [];
  let before = null; // what stood in the fields when tapping began

  const first = () => box.querySelector("input[name=tap-first]:checked").value;
  const strokes = () => {
    const times = { up: [], down: [] };
    let way = first();
    for (let i = 1; i < taps.length; i += 1) {
      times[way].push((taps[i] - taps[i - 1]) / 1000);
      way = other[way];
    }
    return { times, way };
  };
  const mean = (list) =>
    list.length ? `${(list.reduce((a, b) => a + b, 0) / list.length).toFixed(2)} s` : box.dataset.sayNone;
  // The same words as on the drawing of the rhythm: under 3 % or within the taps' own scatter is
  // as healthy.
  const compare = (list, sound) => {
    if (!list.length) return "";
    const middle = list.reduce((a, b) => a + b, 0) / list.length;
    const squares = list.reduce((a, b) => a + (b - middle) ** 2, 0);
    const error = list.length > 1 ? Math.sqrt(squares / (list.length - 1) / list.length) : 0;
    const off = (middle - sound) / sound;
    if (Math.abs(off) < 0.03 || Math.abs(middle - sound) <= 1.645 * error) return box.dataset.sayHealthy;
    return (off < 0 ? box.dataset.sayQuick : box.dataset.saySlow).replace("{n}", Math.round(100 * Math.abs(off)));
  };
  const beside = (side, list) => {
    const told = by(`tap-${side}-off`);
    if (!told) return; // no coating chosen: nothing to hold it against
    const sound = Number(told.dataset.sound);
    told.textContent = compare(list, sound);
    const middle = list.length ? list.reduce((a, b) => a + b, 0) / list.length : 0;
    by(`tap-${side}-bar`).style.width = `${Math.min((middle / sound) * 66.67, 100)}%`;
  };
  const show = () => {
    const { times, way } = strokes();
    for (const side of ["up", "down"]) {
      by(`tap-${side}`).textContent = mean(times[side]);
      beside(side, times[side]);
      const timed = times[side].map((t) => t.toFixed(2)).join(", ");
      if (before) field[side].value = [before[side], timed].filter(Boolean).join(", ");
    }
    by("tap-count").textContent = String(Math.max(taps.length - 1, 0));
    const { sayNowUp, sayNowDown, sayFirstUp, sayFirstDown } = box.dataset;
    by("tap-next").textContent = taps.length
      ? { up: sayNowUp, down: sayNowDown }[way] : { up: sayFirstUp, down: sayFirstDown }[way];
    if (before) field.up.dispatchEvent(new Event("input", { bubbles: true }));
  };
  const tap = (at) => {
    if (!before) before = { up: field.up.value.trim(), down: field.down.value.trim() };
    if (taps.length && at - taps[taps.length - 1] < 80) return;
    taps.push(at);
    pad.classList.add("hit");
    setTimeout(() => pad.classList.remove("hit"), 90);
    if (navigator.vibrate) navigator.vibrate(15);
    show();
  };

  pad.addEventListener("pointerdown", (event) => {
    if (event.button !== 0) return;
    event.preventDefault();
    pad.focus({ preventScroll: true });
    tap(event.timeStamp);
  });
  pad.addEventListener("keydown", (event) => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) tap(event.timeStamp);
  });
  pad.addEventListener("click", (event) => {
    if (event.detail === 0) tap(event.timeStamp);
  });
  by("tap-undo").addEventListener("click", () => {
    taps.pop();
    show();
  });
  by("tap-stop").addEventListener("click", () => {
    const timed = Math.max(taps.length - 1, 0);
    by("tap-said").textContent = box.dataset.sayAdded.replace("{n}", timed);
    taps = [];
    before = null;
    show();
    field.up.scrollIntoView({ block: "center" });
  });
  box.addEventListener("change", () => show());
  box.hidden = false;
  pad.hidden = false;
})();
