// Marks on steps wait in this device's own store until the server has them: a lost connection, a
// closed page or a restarted server loses none. Sent again and again they change nothing twice.
(() => {
  const store = window.localStorage;
  const name = (path) => `marks ${path}`;
  const read = (path) => { try { return JSON.parse(store.getItem(name(path))) ?? {}; } catch { return {}; } };
  const write = (path, marks) => {
    try {
      if (Object.keys(marks).length) store.setItem(name(path), JSON.stringify(marks));
      else store.removeItem(name(path));
    } catch { /* full or barred: the mark is still sent, but not kept over a lost page */ }
  };
  const waiting = () => Object.keys(store).filter((k) => k.startsWith("marks ")).map((k) => k.slice(6));
  const held = new Map(); // marks of this page, should the store be barred
  const all = (path) => ({ ...read(path), ...held.get(path) });
  const busy = new Set();

  const tell = (path, how) =>
    document.dispatchEvent(new CustomEvent("marks", { detail: { path, how, left: Object.keys(all(path)).length } }));
  const settle = (path, sent) => {
    const now = read(path);
    const own = held.get(path) ?? {};
    for (const [key, state] of Object.entries(sent)) {
      if (now[key] === state) delete now[key];
      if (own[key] === state) delete own[key];
    }
    write(path, now);
  };
  const token = (page) => page.querySelector("input[name=_token]")?.value ?? "";
  const freshToken = async () => {
    const answer = await fetch("/preferences", { credentials: "same-origin" });
    return token(new DOMParser().parseFromString(await answer.text(), "text/html"));
  };
  const post = (path, sent, key) => {
    const body = new URLSearchParams({ _token: key });
    for (const [step, state] of Object.entries(sent)) body.append(state, step);
    return fetch(path, { method: "POST", body, redirect: "manual", credentials: "same-origin" });
  };
  const flush = async (path) => {
    const sent = all(path);
    if (!Object.keys(sent).length || busy.has(path)) return;
    busy.add(path);
    try {
      let answer = await post(path, sent, token(document));
      if (answer.status === 403) answer = await post(path, sent, await freshToken());
      if (answer.ok || answer.type === "opaqueredirect") {
        settle(path, sent);
        tell(path, "kept");
      } else tell(path, { 401: "passcode", 404: "gone", 409: "unsafe", 422: "changed" }[answer.status] ?? "waiting");
    } catch {
      tell(path, "waiting");
    } finally {
      busy.delete(path);
    }
    if (JSON.stringify(all(path)) !== JSON.stringify(sent) && Object.keys(all(path)).length) flush(path);
  };
  const flushAll = () => waiting().forEach(flush);

  window.stepMarks = {
    of: all,
    put(path, key, state) {
      held.set(path, { ...held.get(path), [key]: state });
      write(path, { ...read(path), [key]: state });
      tell(path, "waiting");
      flush(path);
    },
    flush,
  };
  window.addEventListener("online", flushAll);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) flushAll(); });
  setInterval(() => { waiting().forEach(flush); held.forEach((_, path) => flush(path)); }, 15000);
  flushAll();
  // whoever is asked for the passcode finds no step page kept here; marks not yet sent stay
  if (window.caches && document.querySelector('form[action="/passcode"]')) {
    caches.keys().then((names) => names.filter((n) => n.startsWith("steps ")).forEach((n) => caches.delete(n)));
  }
})();
