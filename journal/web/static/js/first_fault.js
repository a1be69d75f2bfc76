/* After a refused form, puts the cursor where the first mistake is.

   <form data-refused> … <input aria-invalid="true"> … </form>
*/
document.querySelector("form[data-refused] [aria-invalid='true']")?.focus();
