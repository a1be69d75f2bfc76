/* Opens every working on the page at once, and all of them for print. Each opens by itself without this.

   <button type="button" data-open-workings hidden aria-pressed="false">Open every working</button>
   … <details data-working> … </details>
*/
const all = () => document.querySelectorAll("details[data-working]");

for (const button of document.querySelectorAll("[data-open-workings]")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    const open = button.getAttribute("aria-pressed") !== "true";
    for (const details of all()) details.open = open;
    button.setAttribute("aria-pressed", String(open));
  });
}

let closed = [];
window.addEventListener("beforeprint", () => {
  closed = [...all()].filter((details) => !details.open);
  for (const details of closed) details.open = true;
});
window.addEventListener("afterprint", () => {
  for (const details of closed) details.open = false;
  closed = [];
});
