// One step a screen. All steps are in the page, so that it works on where there is no connection;
// the place is kept on this device. Without script all steps stand one below the other.
(() => {
  const list = document.getElementById("screens");
  if (!list || !window.stepMarks) return;
  const path = list.dataset.marks;
  const place = `place ${path}`;
  const screens = [...list.children];
  const said = document.getElementById("kept");
  const count = document.getElementById("count-done");
  const steps = screens.filter((s) => s.dataset.key);
  const words = {
    kept: "All kept.", passcode: "Not sent yet: the passcode is asked again. Nothing is lost.",
    gone: "Not sent: this visit is not in the depot.",
    unsafe: "Not sent: zero is not proven on this visit.",
    changed: "Not sent: the plan has changed meanwhile. Open this page again.",
  };
  document.documentElement.classList.add("live");

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
  const whence = () => {
    if (!worker?.controller) return;
    const { port1, port2 } = new MessageChannel();
    port1.onmessage = ({ data }) => {
      if (data && !said.textContent) said.textContent = `No connection: the copy kept on this device is shown, made ${new Date(data).toLocaleString()}.`;
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
      for (const f of s.querySelectorAll("form")) f.hidden = (f.dataset.for === "done") === done;
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
    window.stepMarks.put(path, at.dataset.key, form.dataset.for);
    paint();
    const next = at.nextElementSibling;
    if (form.dataset.for === "done" && next) location.hash = next.id;
  });
  document.addEventListener("marks", ({ detail }) => {
    if (detail.path !== path) return;
    said.dataset.how = detail.how;
    said.textContent = words[detail.how] ??
      `${detail.left} kept on this device, sent as soon as there is a connection.`;
    if (detail.how !== "kept") return;
    for (const s of steps) s.dataset.state = s.querySelector(".isdone").hidden ? "" : "done";
    renew();
  });
  paint();
  window.addEventListener("load", () => window.scrollTo(0, 0));
  show(here() ?? byId(kept()) ?? steps.find((s) => !isDone(s)) ?? screens[screens.length - 1], false);
  window.stepMarks.flush(path);
  whence();
})();
