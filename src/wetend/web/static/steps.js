// One step a screen. All steps are in the page, so that it works on where there is no connection;
// the place is kept on this device. Without script all steps stand one below the other.
(() => {
  const list = document.getElementById("screens");
  if (!list || !window.stepMarks) return;
  const { get, set } = window.stepMarks;
  const { marks: path, visit, zero } = list.dataset;
  const place = `place ${path}`;
  const screens = [...list.children];
  const said = document.getElementById("kept");
  const count = document.getElementById("count-done");
  const steps = screens.filter((s) => s.dataset.key);
  const titles = Object.fromEntries(steps.map((s) => [s.dataset.key, s.querySelector("h2").textContent]));
  const { sayKept, sayPasscode, sayGone, sayChanged, sayRan, ...says } = list.dataset;
  const words = { kept: sayKept, passcode: sayPasscode, gone: sayGone, changed: sayChanged, ran: sayRan };
  const put = (text, name, value) => text.split(`{${name}}`).join(value);
  document.documentElement.classList.add("live");

  // the gate: zero stands on the day it was proven, until this device knows of pressure since
  const provenAt = new Date(Number(list.dataset.zeroAt ?? 0));
  const shutLine = document.getElementById("shut-why");
  let shut = false;
  const shutFor = (why) => {
    if (!zero) return; // shut by the server, with its own sentence
    shut = true;
    shutLine.textContent = why;
    document.getElementById("shut").hidden = false;
    document.querySelector("#zero .verdict")?.setAttribute("hidden", "");
    paint();
  };
  const open = () => {
    shut = false;
    document.getElementById("shut").hidden = true;
    document.querySelector("#zero .verdict")?.removeAttribute("hidden");
    paint();
  };
  const isOver = () => zero && (get(`ran ${visit}`) || get(`over ${visit}`)?.id === zero);
  const look = () => {
    if (!zero) return;
    if (provenAt.toDateString() !== new Date().toDateString()) {
      shutFor(put(says.sayAnotherDay, "line", says.zeroLine));
    } else if (isOver()) {
      shutFor(put(says.sayPressure, "line", says.zeroLine));
    }
  };

  // a copy of this page on the device, where the browser allows one (a secure address): it opens
  // again without connection, and is renewed as marks reach the server
  const worker = navigator.serviceWorker;
  const version = document.currentScript?.src.split("?")[1] ?? "";
  let renewing = null, again = false;
  const renew = () => {
    if (!worker?.controller) return;
    again = renewing !== null;
    renewing ??= fetch(location.pathname, { credentials: "same-origin" }).catch(() => { /* with the next mark */ })
      .finally(() => { renewing = null; if (again) renew(); });
  };
  const fromServer = () => { // its word goes before what this device has noted and it has heard of
    if (zero && get(`over ${visit}`)?.id === zero && !get(`ran ${visit}`)) {
      set(`over ${visit}`, null);
      open();
      look();
    }
  };
  const whence = () => {
    if (!worker?.controller) { fromServer(); return; }
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => {
      if (!data) fromServer();
      else if (!said.textContent) said.textContent = put(says.sayCopy, "day", new Date(data).toLocaleString());
    };
    worker.controller.postMessage("whence", [port2]);
  };
  worker?.addEventListener("controllerchange", renew);
  worker?.register(`/static/steps-worker.js?${version}`, { scope: location.pathname }).catch(() => { /* works on while it stays open */ });

  const isDone = (s) => (window.stepMarks.of(path)[s.dataset.key] ?? s.dataset.state) === "done";
  const paint = () => {
    for (const s of steps) {
      const done = isDone(s);
      s.querySelector(".isdone").hidden = !done;
      for (const f of s.querySelectorAll("form")) f.hidden = shut || (f.dataset.for === "done") === done;
    }
    count.textContent = String(steps.filter(isDone).length);
  };
  const keep = (id) => { try { localStorage.setItem(place, id); } catch { /* barred: starts at the next step */ } };
  const kept = () => { try { return localStorage.getItem(place); } catch { return null; } };
  const byId = (id) => screens.find((s) => s.id === id);
  const show = (to, move) => {
    screens.forEach((s) => { s.hidden = s !== to; });
    keep(to.id);
    if (move) {
      window.scrollTo(0, 0);
      to.querySelector("h2").focus({ preventScroll: true });
    }
  };
  const here = () => byId(location.hash.slice(1));
  window.addEventListener("hashchange", () => { const to = here(); if (to) show(to, true); });
  list.addEventListener("submit", (event) => {
    const form = event.target;
    const at = form.closest(".screen");
    event.preventDefault();
    look();
    if (shut) return;
    window.stepMarks.put(path, at.dataset.key, form.dataset.for);
    paint();
    const next = at.nextElementSibling;
    if (form.dataset.for === "done" && next) location.hash = next.id;
  });
  document.getElementById("ran")?.addEventListener("submit", (event) => {
    event.preventDefault();
    window.stepMarks.ran(visit, event.target.elements.why?.value ?? "");
    look();
  });
  document.getElementById("make-safe")?.addEventListener("submit", (event) => {
    if (navigator.onLine) return;
    event.preventDefault();
    said.textContent = says.sayListWaits;
  });
  const refusals = () => { // shown once, on the page they belong to
    const refused = get(`refused ${path}`) ?? {};
    set(`refused ${path}`, null);
    const keys = Object.keys(refused);
    if (!keys.length) return "";
    const why = [...new Set(Object.values(refused))].join(" ");
    return put(put(says.sayNotSaved, "why", why), "steps", keys.map((k) => titles[k] ?? k).join("; "));
  };
  document.addEventListener("marks", ({ detail }) => {
    if (detail.path !== path && detail.path !== visit) return;
    const lost = detail.how === "kept" ? refusals() : "";
    const word = lost || words[detail.how] || put(says.sayWaiting, "n", detail.left);
    said.dataset.how = lost ? "unsafe" : detail.how;
    said.textContent = word;
    if (detail.how === "kept") {
      for (const s of steps) {
        if (!(s.dataset.key in detail.refused)) s.dataset.state = s.querySelector(".isdone").hidden ? "" : "done";
      }
      paint();
    }
    if (detail.zero && !detail.zero.stands) {
      window.stepMarks.over(visit);
      shutFor(detail.zero.line);
    }
    if (detail.how === "kept" || detail.how === "ran") renew();
  });
  if (zero) set(`zero ${visit}`, { id: zero });
  paint();
  look();
  window.addEventListener("load", () => window.scrollTo(0, 0));
  window.addEventListener("pageshow", look);
  window.addEventListener("storage", look);
  document.addEventListener("visibilitychange", look);
  setInterval(look, 30000);
  show(here() ?? byId(kept()) ?? steps.find((s) => !isDone(s)) ?? screens[screens.length - 1], false);
  const before = refusals();
  if (before) { said.textContent = before; said.dataset.how = "unsafe"; }
  window.stepMarks.flush(path);
  whence();
})();
