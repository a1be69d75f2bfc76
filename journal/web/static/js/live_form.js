/* Sends a form while it is being filled in, and puts the pieces of the answer in the place of the page's.

   <form data-live="/address" method="get" or "post"> … <button data-live-spare>Work it out</button></form>
   <div data-live-piece="price">…</div>   on the page, and in the answer
   <p data-live-lost hidden>no answer</p>

   A form that is sent by GET keeps its address in the browser's, so that it can be kept and sent on.
*/
const PAUSE = 180; // ms without a keystroke

for (const form of document.querySelectorAll("form[data-live]")) {
  const byGet = form.method === "get";
  const lost = document.querySelector("[data-live-lost]");
  let timer = 0;
  let asking = null;
  for (const spare of form.querySelectorAll("[data-live-spare]")) spare.hidden = true;

  const put = (text) => {
    const answer = new DOMParser().parseFromString(text, "text/html");
    for (const piece of answer.querySelectorAll("[data-live-piece]")) {
      const here = document.querySelector(`[data-live-piece="${piece.dataset.livePiece}"]`);
      here?.replaceChildren(...piece.childNodes);
    }
  };

  const ask = async () => {
    asking?.abort();
    asking = new AbortController();
    const sent = new FormData(form);
    const words = new URLSearchParams(sent).toString();
    try {
      const answer = byGet
        ? await fetch(`${form.dataset.live}?${words}`, { signal: asking.signal })
        : await fetch(form.dataset.live, { method: "POST", body: sent, signal: asking.signal });
      if (!answer.ok) throw new Error(`answer ${answer.status}`);
      put(await answer.text());
      if (byGet) history.replaceState(null, "", `${form.getAttribute("action")}?${words}`);
      if (lost) lost.hidden = true;
    } catch (error) {
      if (error.name === "AbortError") return;
      console.info("No answer:", error.message);
      if (lost) lost.hidden = false;
    }
  };

  form.addEventListener("input", () => {
    clearTimeout(timer);
    timer = setTimeout(ask, PAUSE);
  });
}
