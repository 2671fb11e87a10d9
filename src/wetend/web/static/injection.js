// Has the injection page kept on this device, and the open visit's own with it, whatever page is
// looked at. Renewed every ten minutes of work, so that the number to ring is not an old one.
(() => {
  const link = document.getElementById("injection");
  const worker = navigator.serviceWorker;
  if (!link || !worker || !window.caches) return;
  const version = document.currentScript?.src.split("?")[1] ?? "";
  const AGAIN = 600000; // ms
  const stamp = `injection ${version} ${link.href}`;
  const kept = () => { try { return Number(sessionStorage.getItem(stamp)) || 0; } catch { return 0; } };
  const put = async () => {
    const cache = await caches.open("injection");
    // whoever is asked for the passcode keeps what to do, and nothing of any visit
    if (document.querySelector('form[action="/passcode"]')) {
      for (const request of await cache.keys()) {
        if (new URL(request.url).pathname === "/injection") await cache.delete(request);
      }
    } else if (Date.now() - kept() < AGAIN) return;
    await cache.addAll([...new Set(["/injection", link.getAttribute("href")])]);
    try { sessionStorage.setItem(stamp, String(Date.now())); } catch { /* barred: kept anew next time */ }
  };
  worker.register(`/static/injection-worker.js?${version}`, { scope: "/injection" }).then((made) => {
    const coming = made.installing ?? made.waiting;
    if (!coming || coming.state === "activated") return put();
    return new Promise((done) => coming.addEventListener("statechange", () => {
      if (coming.state === "activated") done(put());
    }));
  }).catch(() => { /* no secure address, or no room: the page still opens from the server */ });
})();
