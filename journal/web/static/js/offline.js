/* Lets the pages of the floor be opened again without signal: a worker keeps each as it was last seen, and what it needs to
   look and work. Browsers allow that over HTTPS and on this computer only; elsewhere the open page goes on by itself.

   <div data-floor data-made="moment" data-worker="/…/worker.js">   a page that is to be kept
*/
const place = document.querySelector("[data-worker]");

const keep = async () => {
  try {
    await navigator.serviceWorker.register(place.dataset.worker, { scope: "/" });
    const { active } = await navigator.serviceWorker.ready;
    const needed = performance.getEntriesByType("resource").map((entry) => entry.name);
    active.postMessage({
      page: location.pathname + location.search,
      made: place.dataset.made,
      needed: needed.filter((name) => name.includes("/static/")),
    });
  } catch (error) {
    console.info("This page cannot be opened without signal:", error.message);
  }
};

if (place && "serviceWorker" in navigator && window.isSecureContext) {
  // Once everything has been fetched, so that nothing is missing from the list.
  if (document.readyState === "complete") keep();
  else window.addEventListener("load", keep, { once: true });
}
