/* Asks before a half-filled form is left behind.

   <form data-guard> … </form>
*/
for (const form of document.querySelectorAll("form[data-guard]")) {
  let changed = false;
  form.addEventListener("input", () => { changed = true; });
  form.addEventListener("submit", (event) => {
    if (event.submitter?.formTarget !== "_blank") changed = false; // in a new tab the form stays behind
  });
  window.addEventListener("beforeunload", (event) => {
    if (changed) event.preventDefault();
  });
}
