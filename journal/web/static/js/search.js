/* Shows how far a search is while it runs, and loads a piece of another page when this one stands.

   <div data-poll="/address"> … <p data-running>, there while something runs … </div>
   <div data-fill="/address"> a link to the same </div>   the other page marks the piece with data-piece
*/
const EVERY = 1000; // ms

for (const place of document.querySelectorAll("[data-poll]")) {
  const ask = async () => {
    try {
      const answer = await fetch(place.dataset.poll);
      if (!answer.ok) throw new Error(`answer ${answer.status}`);
      const text = await answer.text();
      const pieces = new DOMParser().parseFromString(text, "text/html");
      if (!pieces.querySelector("[data-running]")) {
        location.reload(); // what was found changes the whole list
        return;
      }
      const held = place.contains(document.activeElement) && document.activeElement.tagName === "SELECT";
      if (!held) place.replaceChildren(...pieces.body.childNodes);
    } catch (error) {
      console.info("No answer:", error.message);
    }
    setTimeout(ask, EVERY);
  };
  if (place.querySelector("[data-running]")) setTimeout(ask, EVERY);
}

for (const place of document.querySelectorAll("[data-fill]")) {
  fetch(place.dataset.fill)
    .then((answer) => (answer.ok ? answer.text() : Promise.reject(new Error(`answer ${answer.status}`))))
    .then((text) => {
      const piece = new DOMParser().parseFromString(text, "text/html").querySelector("[data-piece]");
      if (piece) place.replaceChildren(piece);
    })
    .catch((error) => console.info("No answer:", error.message));
}
