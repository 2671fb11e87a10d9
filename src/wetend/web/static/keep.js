// Keep what is typed in this tab until it is known to be saved, so that a lost page or a lost
// connection loses nothing. The server answers a kept form with an address that says "saved".
// A draft outlives a closed browser too: a copy stays on the device for a week, until it is saved
// or the depot is locked.
(() => {
  // A text near its limit says how much room is left; what is too long is refused, never cut.
  document.addEventListener("input", ({ target: box }) => {
    const most = Number(box.dataset?.most), long = box.value.trim().length;
    let room = box.nextElementSibling?.matches(".room") ? box.nextElementSibling : null;
    if (!most || (long <= 0.8 * most && !room)) return;
    if (!room) {
      room = document.createElement("p");
      room.className = "hint room";
      room.setAttribute("role", "status");
      box.after(room);
    }
    const { sayTooLong, sayRoom } = document.body.dataset;
    room.textContent = long > most ? sayTooLong.replace("{n}", long - most) :
      sayRoom.replace("{n}", long).replace("{most}", most);
  });
  // What takes some seconds says so as soon as it is sent.
  document.addEventListener("submit", ({ target: form }) => {
    if (!form.dataset.wait || form.querySelector(".waiting")) return;
    const note = document.createElement("p");
    note.className = "notice waiting";
    note.setAttribute("role", "status");
    note.textContent = form.dataset.wait;
    form.append(note);
  });
  addEventListener("pageshow", () => document.querySelectorAll(".waiting").forEach((n) => n.remove()));
  const store = window.sessionStorage;
  const WEEK = 7 * 24 * 3600 * 1000; // ms
  const drafts = (() => { try { return window.localStorage; } catch { return null; } })();
  const draft = (name) => {
    try {
      const kept = JSON.parse(drafts.getItem(name.replace(/^typed/, "draft")));
      return kept && Date.now() - kept.at < WEEK ? kept : null;
    } catch { return null; }
  };
  const forget = (name) => {
    store.removeItem(name);
    try { drafts.removeItem(name.replace(/^typed/, "draft")); } catch { /* barred */ }
  };
  for (const name of drafts ? Object.keys(drafts).filter((n) => n.startsWith("draft ")) : []) {
    if (!draft(name)) drafts.removeItem(name);
  }
  document.addEventListener("submit", ({ target: form }) => {
    if (form.getAttribute("action") !== "/leave" || !drafts) return;
    Object.keys(drafts).filter((n) => n.startsWith("draft ")).forEach((n) => drafts.removeItem(n));
  });
  const saved = new URLSearchParams(location.search).has("saved");
  const all = () => Object.keys(store).filter((name) => name.startsWith("typed "));
  const read = (name) => { try { return JSON.parse(store.getItem(name)); } catch { return null; } };
  for (const name of all()) {
    const kept = read(name);
    if (!kept || (kept.sent && (saved || kept.path !== location.pathname))) forget(name);
  }
  for (const form of document.querySelectorAll("form[data-keep][id]")) {
    const name = `typed ${location.pathname} ${form.id}`;
    const boxes = [...form.elements].filter((e) => e.name && !e.name.startsWith("_") &&
      !["file", "hidden", "submit", "button", "fieldset"].includes(e.type));
    const value = (e) => (e.type === "checkbox" || e.type === "radio" ? e.checked : e.value);
    const state = (sent) => ({
      path: location.pathname, sent, units: form.elements._units?.value,
      typed: boxes.map((e) => [e.name, value(e)]),
    });
    const put = (sent) => {
      const now = { ...state(sent), at: Date.now() };
      try { store.setItem(name, JSON.stringify(now)); } catch { /* full or barred: typing goes on */ }
      try { drafts.setItem(name.replace(/^typed/, "draft"), JSON.stringify(now)); } catch { /* the same */ }
    };
    // what was sent as the browser closed may be saved: only a form filled from the record tells
    const last = draft(name);
    const kept = read(name) ?? (last && (!last.sent || form.elements._was) ? last : null);
    if (kept && form.querySelector(".faults")) {
      forget(name);
    } else if (kept && kept.units === form.elements._units?.value &&
               JSON.stringify(kept.typed) !== JSON.stringify(state(false).typed)) {
      boxes.forEach((e, i) => {
        if (!kept.typed[i] || kept.typed[i][0] !== e.name) return;
        if (e.type === "checkbox" || e.type === "radio") e.checked = kept.typed[i][1];
        else e.value = kept.typed[i][1];
      });
      const note = document.createElement("p");
      note.className = "notice";
      note.setAttribute("role", "status");
      note.textContent = document.body.dataset.sayRestored;
      form.prepend(note);
    }
    form.addEventListener("input", () => put(false));
    form.addEventListener("submit", () => put(true));
  }
})();
