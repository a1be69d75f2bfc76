/* Answers for Today, and for styles and scripts, while there is no signal. Everything else goes past it untouched.

   Today: from the server; without an answer in time, as it was last seen. What bears its content's mark in its
   address is never out of date once kept; the rest is asked for first.
*/
const KEPT = "journal-today-1";
const TODAY = "/today";
const LONGEST = 5_000; // ms

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => {
  const tidy = async () => {
    for (const name of await caches.keys()) if (name !== KEPT) await caches.delete(name);
    await self.clients.claim();
  };
  event.waitUntil(tidy());
});

self.addEventListener("message", (event) => {
  const keepAll = async () => {
    const kept = await caches.open(KEPT);
    const wanted = new Set(event.data.needed);
    for (const old of await kept.keys()) {
      if (old.url.includes("/static/") && !wanted.has(old.url)) await kept.delete(old);
    }
    for (const address of wanted) if (!(await kept.match(address))) await keep(kept, address);
    if (event.data.page === TODAY && !(await kept.match(TODAY))) await keep(kept, TODAY);
  };
  event.waitUntil(keepAll());
});

const keep = async (kept, address) => {
  const answer = await fetch(address);
  if (answer.ok && !answer.redirected) await kept.put(address, answer);
};

const today = async (request) => {
  const kept = await caches.open(KEPT);
  try {
    const answer = await fetch(request, { signal: AbortSignal.timeout(LONGEST) });
    if (answer.ok && !answer.redirected) await kept.put(TODAY, answer.clone());
    if (answer.redirected || answer.status === 401 || answer.status === 403) await kept.delete(TODAY); // signed out
    return answer;
  } catch (error) {
    const seen = await kept.match(TODAY);
    if (seen) return seen;
    throw error;
  }
};

const asset = async (request, marked) => {
  const kept = await caches.open(KEPT);
  if (marked) return (await kept.match(request.url)) ?? fetch(request);
  try {
    return await fetch(request, { signal: AbortSignal.timeout(LONGEST) });
  } catch (error) {
    const seen = await kept.match(request.url);
    if (seen) return seen;
    throw error;
  }
};

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  if (request.mode === "navigate" && address.pathname === TODAY) event.respondWith(today(request));
  else if (address.pathname.startsWith("/static/")) event.respondWith(asset(request, address.searchParams.has("v")));
});
