/* Lets Today be opened again without signal: a worker keeps the page as it was last seen, and what it needs to look and
   work. Browsers allow that over HTTPS and on this computer only; elsewhere the open page goes on working by itself.

   <div data-floor data-worker="/…/worker.js">
*/
const place = document.querySelector("[data-worker]");

const keep = async () => {
  try {
    await navigator.serviceWorker.register(place.dataset.worker, { scope: "/" });
    const { active } = await navigator.serviceWorker.ready;
    const needed = performance.getEntriesByType("resource").map((entry) => entry.name);
    active.postMessage({ page: location.pathname, needed: needed.filter((name) => name.includes("/static/")) });
  } catch (error) {
    console.info("Today cannot be opened without signal:", error.message);
  }
};

if (place && "serviceWorker" in navigator && window.isSecureContext) {
  // Once everything has been fetched, so that nothing is missing from the list.
  if (document.readyState === "complete") keep();
  else window.addEventListener("load", keep, { once: true });
}
