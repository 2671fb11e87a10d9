// Keeps the injection page on the device, so that it opens where there is no connection. Its scope is
// that page alone. What the server has goes before the copy; a visit's copy names its coating and
// whom to ring, any other is answered by the plain one.
const PLAIN = "/injection";
const PATIENCE = 3000; // ms; nobody waits longer for this page
const store = () => caches.open("injection");
const named = (text) => [...new Set(text.match(/\/static\/[\w.-]+\?v=\w+/g) ?? [])];
const ours = (answer) => answer.headers.get("x-answered-by") === "wetend"; // no guest network's page
const whole = (answer) => ours(answer) && answer.ok && !answer.redirected;

const keep = async (at, answer) => {
  const cache = await store();
  await cache.put(at, answer.clone());
  const files = named(await answer.text());
  const there = await Promise.all(files.map((file) => cache.match(file)));
  await cache.addAll(files.filter((_, i) => !there[i]));
};
const copy = async (url) => {
  const cache = await store();
  return (await cache.match(url.pathname + url.search)) ?? cache.match(PLAIN);
};
const shown = async (event) => {
  const url = new URL(event.request.url);
  const fresh = fetch(event.request).then(async (answer) => {
    if (whole(answer)) event.waitUntil(keep(url.pathname + url.search, answer.clone()).catch(() => {}));
    return answer;
  });
  fresh.catch(() => {});
  const late = new Promise((done) => { setTimeout(done, PATIENCE, null); });
  const answer = await Promise.race([fresh.catch(() => null), late]);
  if (answer && ours(answer) && answer.status < 500) return answer;
  return (await copy(url)) ?? fresh;
};
const file = async (request) => (await (await store()).match(request)) ?? fetch(request);

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil((async () => {
    await caches.delete("injection"); // of an earlier version
    const answer = await fetch(PLAIN, { credentials: "same-origin", cache: "no-store" });
    if (!whole(answer)) throw new Error("no injection page to keep");
    await keep(PLAIN, answer);
  })());
});
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname === PLAIN) event.respondWith(shown(event));
  else if (url.pathname.startsWith("/static/")) event.respondWith(file(request));
});
