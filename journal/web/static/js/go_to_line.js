/* Puts the cursor on a line of a text that is being written.

   <textarea data-lines>…</textarea>
   <button type="button" data-go-to-line="12">Line 12</button>
*/
document.addEventListener("click", (event) => {
  const button = event.target.closest("[data-go-to-line]");
  const box = document.querySelector("textarea[data-lines]");
  if (!button || !box) return;
  const lines = box.value.split("\n");
  const line = Math.min(Number(button.dataset.goToLine), lines.length);
  const start = lines.slice(0, line - 1).reduce((sum, text) => sum + text.length + 1, 0);
  box.focus();
  box.setSelectionRange(start, start + lines[line - 1].length);
  box.scrollTop = ((line - 4) * box.scrollHeight) / lines.length;
});
