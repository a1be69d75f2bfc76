/* Answers for the pages of the floor, and for styles and scripts, while there is no signal. Everything else goes past it.

   A page of the floor is one that bears data-worker: Today, a glue-up, the coats of a project in build. It comes from the
   server; without an answer in time, as it was last seen, marked with when that was: data-kept, ms of this device's clock.
   What bears its content's mark in its address is never out of date once kept; the rest is asked for first.
*/
const KEPT = "journal-floor-1";
const TODAY = "/today";
const FLOOR = /^(\/today|\/projects\/\d+\/(glue\/.+|coats))$/;
const MARK = /(<div [^>]*data-floor[^>]*) data-worker=/;
const MOST_PAGES = 24;
const LONGEST = 5_000; // ms

self.addEventListener("install", () => self.skipWaiting());

self.addEventListener("activate", (event) => {
  const tidy = async () => {
    for (const name of await caches.keys()) if (name !== KEPT) await caches.delete(name);
    await self.clients.claim();
  };
  event.waitUntil(tidy());
});

/** Under which address a page is kept; "" for one that is not of the floor. Today is the same whatever follows it. */
const pageOf = (address) => {
  const { pathname, search } = new URL(address, self.location.origin);
  if (!FLOOR.test(pathname)) return "";
  return pathname === TODAY ? TODAY : pathname + search;
};

const forget = async (kept, chosen) => {
  for (const old of await kept.keys()) if (chosen(old.url)) await kept.delete(old);
};

const keepPage = async (kept, page, answer) => {
  if (answer.redirected || answer.status === 401 || answer.status === 403) return forget(kept, pageOf); // signed out
  if (!answer.ok && answer.status !== 404) return; // a server in trouble: what is kept is better
  const text = await answer.text();
  await kept.delete(page); // so that it is the newest of all, or gone where it is to be kept no more
  if (!MARK.test(text)) return;
  const headers = new Headers(answer.headers);
  headers.delete("Content-Encoding"); // of the text as it came
  await kept.put(page, new Response(text.replace(MARK, `$1 data-kept="${Date.now()}" data-worker=`), { headers }));
  const pages = (await kept.keys()).map((one) => pageOf(one.url)).filter((one) => one && one !== TODAY);
  for (const old of pages.slice(0, -MOST_PAGES)) await kept.delete(old);
};

const keepAsset = async (kept, address) => {
  if (await kept.match(address)) return;
  const answer = await fetch(address);
  if (!answer.ok || answer.redirected) return;
  const { pathname } = new URL(address);
  await forget(kept, (old) => new URL(old).pathname === pathname); // as it was before it was changed
  await kept.put(address, answer);
};

self.addEventListener("message", (event) => {
  const { page: address, made, needed } = event.data;
  const keepAll = async () => {
    const kept = await caches.open(KEPT);
    for (const one of new Set(needed)) await keepAsset(kept, one);
    const page = pageOf(address);
    const seen = page && (await kept.match(page));
    // One that came before this worker did, or after a form was sent, went past it.
    if (page && !(seen && (await seen.text()).includes(made))) await keepPage(kept, page, await fetch(page));
  };
  event.waitUntil(keepAll());
});

const shown = async (event, page) => {
  const kept = await caches.open(KEPT);
  try {
    const answer = await fetch(event.request, { signal: AbortSignal.timeout(LONGEST) });
    event.waitUntil(keepPage(kept, page, answer.clone()));
    return answer;
  } catch (error) {
    const seen = await kept.match(page);
    if (seen) return seen;
    throw error;
  }
};

const asset = async (request, marked) => {
  const kept = await caches.open(KEPT);
  const known = marked && (await kept.match(request.url));
  if (known) return known;
  try {
    return await fetch(request, { signal: AbortSignal.timeout(LONGEST) });
  } catch (error) {
    // A page kept for long may ask for what was changed since.
    const seen = await kept.match(request.url, { ignoreSearch: true });
    if (seen) return seen;
    throw error;
  }
};

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const address = new URL(request.url);
  if (request.method !== "GET" || address.origin !== self.location.origin) return;
  const page = request.mode === "navigate" && pageOf(request.url);
  if (page) event.respondWith(shown(event, page));
  else if (address.pathname.startsWith("/static/")) event.respondWith(asset(request, address.searchParams.has("v")));
});
