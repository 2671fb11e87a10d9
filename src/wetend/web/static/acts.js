// The part of an act travels between its place and where it is drawn, in a second, when asked to. It
// can be stopped, and moved by hand. Without script the picture shows both places.
(() => {
  const calm = matchMedia("(prefers-reduced-motion: reduce)");
  const { sayMove, sayStop, sayMoved } = document.body.dataset;
  const words = { move: sayMove, stop: sayStop, by: sayMoved };
  const LONG = 1000; // ms

  const set = (inner) => {
    const [dx, dy] = inner.dataset.go.split(" ").map(Number);
    const parts = inner.querySelectorAll(".dw-go");
    const onward = !("back" in inner.dataset); // off its place; else onto it
    const row = document.createElement("div");
    const button = document.createElement("button");
    const hand = document.createElement("input");
    let begun = null;

    const put = (done) => { // from 0 to 1, as the act goes
      const home = onward ? 1 - done : done;
      for (const part of parts) part.setAttribute("transform", `translate(${dx * home} ${dy * home})`);
      hand.value = Math.round(100 * done);
    };
    const stop = () => { begun = null; button.textContent = words.move; };
    const tick = (now) => {
      if (begun === null) return;
      const done = Math.min((now - begun) / LONG, 1);
      put(done);
      if (done < 1) requestAnimationFrame(tick); else stop();
    };
    button.addEventListener("click", () => {
      if (begun !== null) { stop(); return; }
      if (calm.matches) { put(hand.value === "100" ? 0 : 1); return; } // at once, no travel
      button.textContent = words.stop;
      begun = performance.now();
      requestAnimationFrame(tick);
    });
    hand.addEventListener("input", () => { stop(); put(hand.value / 100); });

    row.className = "go";
    button.type = "button";
    button.className = "button second";
    button.textContent = words.move;
    hand.type = "range";
    hand.setAttribute("aria-label", words.by);
    hand.value = onward ? 100 : 0;
    row.append(button, hand);
    inner.closest("svg.dw-act").after(row);
  };
  for (const inner of document.querySelectorAll("svg.dw-act [data-go]")) set(inner);
})();
