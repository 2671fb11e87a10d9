// Keeps one step page, with the style and scripts it names, so that it opens again where there is no
// connection. Its scope is that page alone: no other page, form or photo passes through here. What
// the server has goes before the copy; marks are sent by the page itself and never answered here.
const page = new URL(self.registration.scope).pathname;
const version = new URL(self.location.href).searchParams.get("v");
const name = `steps ${version} ${page}`;
const PATIENCE = 4000; // ms; a connection slower than this has the copy shown meanwhile
const MOST = 12; // step pages kept on one device
let copyOf = ""; // when the copy shown last was made; "" where the page came from the server

const named = (text) => [...new Set(text.match(/\/static\/[\w.-]+\?v=\w+/g) ?? [])];
const ours = (answer) => answer.headers.get("x-answered-by") === "wetend"; // no guest network's page
const whole = (answer) => ours(answer) && answer.ok && !answer.redirected && new URL(answer.url).pathname === page;

const keep = async (answer) => {
  const cache = await caches.open(name);
  const files = named(await answer.clone().text());
  const there = await Promise.all(files.map((file) => cache.match(file)));
  await cache.addAll(files.filter((_, i) => !there[i]));
  await cache.put(page, answer);
};
const fromServer = async (request) => {
  const answer = await fetch(request);
  if (whole(answer)) await keep(answer.clone()).catch(() => {}); // a full store: shown all the same
  else if (ours(answer) && answer.status === 404) await caches.delete(name);
  return answer;
};
const shown = async (event) => {
  const copy = await (await caches.open(name)).match(page);
  const fresh = fromServer(event.request);
  event.waitUntil(fresh.catch(() => {}));
  if (!copy) return fresh;
  const late = new Promise((done) => { setTimeout(done, PATIENCE, null); });
  const answer = await Promise.race([fresh.catch(() => null), late]);
  const use = answer && ours(answer) && answer.status < 500;
  copyOf = use ? "" : copy.headers.get("date") ?? "an earlier day";
  return use ? answer : copy;
};
const file = async (request) => (await (await caches.open(name)).match(request)) ?? fetch(request);

self.addEventListener("install", (event) => {
  self.skipWaiting();
  event.waitUntil((async () => {
    const answer = await fetch(page, { credentials: "same-origin", cache: "no-store" });
    if (!whole(answer)) throw new Error("no step page to keep");
    await keep(answer);
  })());
});
self.addEventListener("activate", (event) => {
  event.waitUntil((async () => {
    const kept = (await caches.keys()).filter((key) => key.startsWith("steps "));
    const own = kept.filter((key) => key.endsWith(` ${page}`) && key !== name);
    const others = kept.filter((key) => key !== name && !own.includes(key));
    await Promise.all([...own, ...others.slice(0, -MOST + 1)].map((key) => caches.delete(key)));
    await self.clients.claim();
  })());
});
self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname === page && !url.search) event.respondWith(shown(event));
  else if (url.pathname.startsWith("/static/")) event.respondWith(file(request));
});
self.addEventListener("message", (event) => event.ports[0]?.postMessage(copyOf));
