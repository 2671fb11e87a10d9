// Marks on steps wait in this device's own store until the server has them: a lost connection, a
// closed page or a restarted server loses none. Sent again and again they change nothing twice. Each
// goes with its age, for it counts if zero stood when it was made. So does "the pump ran again".
(() => {
  const store = window.localStorage;
  const get = (name) => { try { return JSON.parse(store.getItem(name)); } catch { return null; } };
  const set = (name, value) => {
    try {
      if (value && Object.keys(value).length) store.setItem(name, JSON.stringify(value));
      else store.removeItem(name);
    } catch { /* full or barred: it is still sent, but not kept over a lost page */ }
  };
  const named = (word) => Object.keys(store).filter((k) => k.startsWith(`${word} `)).map((k) => k.slice(word.length + 1));
  const held = new Map(); // marks of this page, should the store be barred
  const steady = new Map(); // by when a mark was made: the same on a clock that nobody sets
  const plain = (mark) => (typeof mark === "string" ? { state: mark } : mark);
  const read = (path) => Object.fromEntries(Object.entries(get(`marks ${path}`) ?? {}).map(([k, m]) => [k, plain(m)]));
  const all = (path) => ({ ...read(path), ...held.get(path) });
  const stamp = () => { const at = Date.now(); steady.set(at, performance.now()); return at; };
  // a clock set back tells too little, and so does one that stood still while the device slept
  const age = (at) => Math.max(Date.now() - at, steady.has(at) ? performance.now() - steady.get(at) : -1);
  const busy = new Set();

  const tell = (path, how, more = {}) =>
    document.dispatchEvent(new CustomEvent("marks", { detail: { path, how, left: Object.keys(all(path)).length, ...more } }));
  const settle = (path, sent) => {
    const now = read(path), own = held.get(path) ?? {};
    for (const [key, mark] of Object.entries(sent)) {
      for (const kept of [now, own]) if (kept[key]?.state === mark.state && kept[key]?.at === mark.at) delete kept[key];
    }
    set(`marks ${path}`, now);
  };
  const token = (page) => page.querySelector("input[name=_token]")?.value ?? "";
  const freshToken = async () => {
    const answer = await fetch("/preferences", { credentials: "same-origin" });
    return token(new DOMParser().parseFromString(await answer.text(), "text/html"));
  };
  const post = async (path, fill) => {
    const once = (key) => {
      const body = new URLSearchParams({ _token: key });
      fill(body);
      return fetch(path, { method: "POST", body, redirect: "manual", credentials: "same-origin", headers: { Accept: "application/json" } });
    };
    const answer = await once(token(document));
    return answer.status === 403 ? once(await freshToken()) : answer;
  };
  const ours = (answer) => answer.headers.get("x-answered-by") === "wetend"; // and no guest network's
  const flush = async (path) => {
    const sent = all(path);
    if (!Object.keys(sent).length || busy.has(path)) return;
    busy.add(path);
    try {
      const answer = await post(path, (body) => {
        for (const [step, { state, at }] of Object.entries(sent)) {
          body.append(state, step);
          if (at) body.append(`age.${step}`, String(age(at)));
        }
      });
      if (!ours(answer)) throw new Error("not the server");
      if (answer.ok) {
        const { refused, zero } = await answer.json();
        settle(path, sent);
        set(`refused ${path}`, { ...get(`refused ${path}`), ...refused });
        tell(path, "kept", { zero, refused });
      } else tell(path, { 401: "passcode", 404: "gone", 422: "changed" }[answer.status] ?? "waiting");
    } catch {
      tell(path, "waiting");
    } finally {
      busy.delete(path);
    }
    if (JSON.stringify(all(path)) !== JSON.stringify(sent) && Object.keys(all(path)).length) flush(path);
  };
  const flushRan = async (visit) => {
    const { at, why = "" } = get(`ran ${visit}`) ?? {};
    if (!at || busy.has(visit)) return;
    busy.add(visit);
    try {
      const answer = await post(`${visit}/ran`, (body) => { body.append("age", String(age(at))); body.append("why", why); });
      if (ours(answer) && (answer.ok || answer.status === 404)) {
        set(`ran ${visit}`, null);
        if (answer.ok) tell(visit, "ran", await answer.json());
      }
    } catch { /* later */ } finally { busy.delete(visit); }
  };
  const flushAll = () => { named("ran").forEach(flushRan); named("marks").forEach(flush); };

  window.stepMarks = {
    of: (path) => Object.fromEntries(Object.entries(all(path)).map(([k, m]) => [k, m.state])),
    put(path, key, state) {
      const mark = { state, at: stamp() };
      held.set(path, { ...held.get(path), [key]: mark });
      set(`marks ${path}`, { ...read(path), [key]: mark });
      tell(path, "waiting");
      flush(path);
    },
    // the first time counts: zero was over from then
    ran(visit, why = "") { if (!get(`ran ${visit}`)) set(`ran ${visit}`, { at: stamp(), why }); this.over(visit); flushRan(visit); },
    over(visit) { const zero = get(`zero ${visit}`); if (zero) set(`over ${visit}`, zero); },
    get, set, flush,
  };
  // readings sent from this device mean pressure: a step page kept on it then knows that zero is over
  document.addEventListener("submit", ({ target }) => {
    const visit = /^(\/visits\/\w+)\/(checks|prove|listen\w*|ran)(\/|$)/.exec(new URL(target.action, location.href).pathname);
    if (visit && target.method === "post" && !/coating$/.test(target.action)) window.stepMarks.over(visit[1]);
  });
  window.addEventListener("online", flushAll);
  document.addEventListener("visibilitychange", () => { if (!document.hidden) flushAll(); });
  setInterval(() => { flushAll(); held.forEach((_, path) => flush(path)); }, 15000);
  flushAll();
  // whoever is asked for the passcode finds no step page kept here; marks not yet sent stay
  if (window.caches && document.querySelector('form[action="/passcode"]')) {
    caches.keys().then((names) => names.filter((n) => n.startsWith("steps ")).forEach((n) => caches.delete(n)));
  }
})();
