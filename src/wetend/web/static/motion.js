// Move the two wet ends by what the run has seen: play, slow motion, scrub, single step. The numbers
// come with the page; each attribute is set as the drawing itself sets it. Without script the
// drawing stands still and six moments of the cycle stand below it.
(() => {
  const part = document.querySelector("[data-motion]");
  const held = document.getElementById("motion-data");
  if (!part || !held) return;
  const data = JSON.parse(held.textContent);
  const by = (id) => document.getElementById(id);
  const all = (root, name) => [...root.querySelectorAll(`[data-${name}]`)];

  // Films come as steps of a grain each.
  const unfold = ([grain, ...steps]) => {
    let sum = 0;
    return Float64Array.from(steps, (step) => { sum += step; return sum * grain; });
  };
  const columns = data.columns.map(({ scene, film }, k) => {
    const root = part.querySelector(`[data-column="${k}"]`);
    const rows = Object.fromEntries(Object.entries(film).map(([key, row]) => [key, unfold(row)]));
    return {
      scene, rows, moves: all(root, "move"), liquids: all(root, "liquid"), fills: all(root, "fill"),
      arrows: all(root, "arrow"), reads: all(root, "read"),
    };
  });
  const cursors = all(document, "cursor");

  // Everything followed at one time, straight between instants.
  const at = (rows, time) => {
    const t = rows.t;
    let low = 0;
    let high = t.length - 1;
    while (high - low > 1) {
      const middle = (low + high) >> 1;
      if (t[middle] <= time) low = middle; else high = middle;
    }
    const wide = t[high] - t[low];
    const share = wide > 0 ? Math.min(Math.max((time - t[low]) / wide, 0), 1) : 1;
    const seen = {};
    for (const key in rows) seen[key] = rows[key][low] + share * (rows[key][high] - rows[key][low]);
    return seen;
  };
  const size = (scene, flow) => {
    const share = Math.abs(flow) / scene.flow;
    return share < 0.01 ? 0 : Math.sign(flow) * Math.min(0.35 + 0.65 * Math.sqrt(share), 1.1);
  };
  const tint = (scene, pressure) => 0.6 * Math.min(Math.max(pressure / scene.pressure, 0), 1);
  const pose = (scene, v) => {
    const shut = v.foot_lift < scene.foot_shut;
    const closed = v.piston_lift < scene.piston_shut;
    const up = v.place * scene.travel;
    return {
      move: { piston: up, foot: v.foot_lift * scene.foot, ball: v.piston_lift * scene.lift },
      seam: scene.seat - up,
      liquid: { suction: tint(scene, v.suction), below: tint(scene, v.below), above: tint(scene, v.above) },
      arrow: {
        drawn: size(scene, v.drawn), foot: shut ? size(scene, Math.min(v.foot_flow, 0)) : 0,
        piston: size(scene, Math.max(v.piston_flow, 0)),
        past: closed ? size(scene, Math.min(v.piston_flow, 0)) : 0,
        outlet: size(scene, v.outlet), rod: size(scene, v.rod_leak), outside: size(scene, v.outside),
      },
    };
  };
  const tidy = (value) => String(Math.round(value * 100) / 100 + 0);
  const figure = (key, value) => {
    const [factor, digits, unit] = data.reads[key];
    const text = (Math.round(value * factor * 10 ** digits) / 10 ** digits + 0).toFixed(digits);
    return `${text.replace("-", "−")} ${unit}`;
  };
  const paint = (column, time) => {
    const v = at(column.rows, time);
    const p = pose(column.scene, v);
    for (const e of column.moves) e.setAttribute("transform", `translate(0 ${tidy(-p.move[e.dataset.move])})`);
    for (const e of column.liquids) e.setAttribute("fill-opacity", p.liquid[e.dataset.liquid].toFixed(3));
    for (const e of column.fills) {
      const below = e.dataset.fill === "below";
      const high = below ? column.scene.floor - p.seam : p.seam - column.scene.roof;
      if (below) e.setAttribute("y", tidy(p.seam));
      e.setAttribute("height", tidy(Math.max(high, 0)));
    }
    for (const e of column.arrows) {
      const s = p.arrow[e.dataset.arrow];
      e.setAttribute("transform", `scale(${tidy(Math.abs(s))} ${tidy(s)})`);
    }
    for (const e of column.reads) e.textContent = figure(e.dataset.read, v[e.dataset.read]);
    return v;
  };

  const slider = by("reel-at");
  const clock = by("reel-time");
  const way = by("reel-way");
  const play = by("reel-play");
  const steps = columns[0].rows.t;
  let now = 0;
  let before = null; // time of the frame before, while playing

  const show = (time) => {
    now = Math.min(Math.max(time, 0), data.seconds);
    const [v] = columns.map((column) => paint(column, now));
    const later = at(columns[0].rows, Math.min(now + 1e-3, data.seconds)).place - v.place;
    const { sayUp, sayDown, sayStill, sayAtUp, sayAtDown, sayAtStill } = part.dataset;
    const [going, told] = later > 1e-7 ? [sayUp, sayAtUp] : later < -1e-7 ? [sayDown, sayAtDown] : [sayStill, sayAtStill];
    slider.value = String(Math.round((now / data.seconds) * 1000));
    clock.textContent = `${now.toFixed(3)} s`;
    way.textContent = going;
    slider.setAttribute("aria-valuetext", told.replace("{time}", now.toFixed(2)).replace("{pressure}", figure("below", v.below)));
    for (const e of cursors) e.setAttribute("transform", `translate(${tidy((data.across * now) / data.seconds)} 0)`);
  };
  const speed = () => Number(by("reel-speed").value);
  const frame = (stamp) => {
    if (before === null) return;
    let time = now + ((stamp - before) / 1000) * speed();
    if (time > data.seconds) time = 0;
    before = stamp;
    show(time);
    requestAnimationFrame(frame);
  };
  const stop = () => { before = null; play.textContent = part.dataset.sayPlay; };
  const step = (by_) => {
    stop();
    const after = steps.findIndex((t) => t > now + 1e-9);
    const here = after < 0 ? steps.length : after;
    if (by_ > 0) show(after < 0 ? data.seconds : steps[after]);
    else {
      let k = here - 1;
      while (k > 0 && steps[k] >= now - 1e-9) k -= 1;
      show(steps[Math.max(k, 0)]);
    }
  };
  play.addEventListener("click", () => {
    if (before !== null) { stop(); return; }
    if (now >= data.seconds - 1e-9) now = 0;
    play.textContent = part.dataset.sayPause;
    before = performance.now();
    requestAnimationFrame(frame);
  });
  slider.addEventListener("input", () => { stop(); show((Number(slider.value) / 1000) * data.seconds); });
  by("reel-back").addEventListener("click", () => step(-1));
  by("reel-on").addEventListener("click", () => step(1));
  document.addEventListener("visibilitychange", () => { if (document.hidden) stop(); });
  by("reel").hidden = false;
  show(0);
})();
