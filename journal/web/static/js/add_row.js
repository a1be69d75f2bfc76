/* Adds a blank row to a table of boxes without asking the server, and puts the cursor in it.

   <form> <tbody data-rows> rows </tbody> <template data-row> a row numbered __n__ </template>
   <button data-add-row>…</button> </form>
*/
for (const button of document.querySelectorAll("[data-add-row]")) {
  const form = button.closest("form");
  const rows = form.querySelector("[data-rows]");
  const pattern = form.querySelector("template[data-row]").innerHTML;
  button.addEventListener("click", (event) => {
    event.preventDefault();
    const numbers = [...rows.querySelectorAll("[name='row']")].map((box) => Number(box.value));
    rows.insertAdjacentHTML("beforeend", pattern.replaceAll("__n__", String(Math.max(-1, ...numbers) + 1)));
    rows.lastElementChild.querySelector(".box").focus();
  });
}
