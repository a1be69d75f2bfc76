/* Fills a place by what stands in a box, when the page stands and whenever the box is changed.

   <div data-follow="box-id" data-answer="/address?said="> a link for who has no scripts </div>
   The answer marks what goes into the place with data-piece.
*/
const PAUSE = 250; // ms without a keystroke

for (const place of document.querySelectorAll("[data-follow]")) {
  const box = document.getElementById(place.dataset.follow);
  let timer = 0;
  let asking = null;

  const ask = async () => {
    asking?.abort();
    asking = new AbortController();
    try {
      const answer = await fetch(place.dataset.answer + encodeURIComponent(box.value), { signal: asking.signal });
      if (!answer.ok) throw new Error(`answer ${answer.status}`);
      const piece = new DOMParser().parseFromString(await answer.text(), "text/html").querySelector("[data-piece]");
      place.replaceChildren(...(piece?.childNodes ?? []));
    } catch (error) {
      if (error.name !== "AbortError") console.info("No answer:", error.message);
    }
  };

  box?.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, PAUSE);
  });
  if (box) ask();
}
