/* Buttons that step a box of hours by quarters, and the sum of all such boxes of a form.

   <span data-stepper><button type="button" data-step="-15" hidden>−</button> <input value="1:30"> <button …>+</button></span>
   <span data-sum>…</span>   in the same form; whoever is ticked as "also" gets what is more than a box was shown with:
   <span data-sum-unread hidden>, without what could not be read</span>
   <span data-sum-others hidden>: <span data-sum-here>…</span> here, <span data-sum-each>…</span> for each one ticked</span>

   A box may hold 2, 1.5, 1:30 or 45 min; what cannot be read here is left as it is, and counts for nothing.
*/
const minutesOf = (text) => {
  const plain = text.trim();
  const clock = /^(\d{1,2}):(\d{2})(?::\d{2})?$/.exec(plain);
  if (clock) return Number(clock[1]) * 60 + Number(clock[2]);
  const minutes = /^(\d{1,4}) ?m(?:in)?$/.exec(plain);
  if (minutes) return Number(minutes[1]);
  const hours = /^(\d{1,2}(?:[.,]\d+)?) ?h?$/.exec(plain);
  if (hours) return Math.round(Number(hours[1].replace(",", ".")) * 60);
  return plain === "" ? 0 : null;
};

const shown = (minutes) => (minutes > 0 ? `${Math.floor(minutes / 60)}:${String(minutes % 60).padStart(2, "0")}` : "");

const said = (minutes) => {
  const hours = Math.floor(minutes / 60);
  const rest = minutes % 60;
  return [hours ? `${hours} h` : "", rest || !hours ? `${rest} min` : ""].filter(Boolean).join(" ");
};

const sumUp = (form) => {
  const place = form?.querySelector("[data-sum]");
  if (!place) return;
  let here = 0;
  let each = 0;
  let unread = false;
  for (const box of form.querySelectorAll("[data-stepper] input")) {
    const read = minutesOf(box.value);
    const minutes = read ?? 0;
    unread ||= read === null;
    const was = Number(form.elements[`${box.name}.was`]?.value ?? 0) / 60;
    here += minutes;
    each += Math.max(minutes - was, 0);
  }
  each = Math.round(each);
  const others = form.querySelectorAll("[name=also]:checked").length;
  place.textContent = said(here + each * others);
  const left = form.querySelector("[data-sum-unread]");
  if (left) left.hidden = !unread;
  const beside = form.querySelector("[data-sum-others]");
  if (!beside) return;
  beside.hidden = others === 0;
  beside.querySelector("[data-sum-here]").textContent = said(here);
  beside.querySelector("[data-sum-each]").textContent = said(each);
};

for (const stepper of document.querySelectorAll("[data-stepper]")) {
  const box = stepper.querySelector("input");
  for (const button of stepper.querySelectorAll("[data-step]")) {
    button.hidden = false;
    button.addEventListener("click", () => {
      const minutes = minutesOf(box.value);
      if (minutes === null) {
        box.focus();
        return;
      }
      const step = Number(button.dataset.step);
      const quarter = step > 0 ? Math.floor(minutes / 15) * 15 : Math.ceil(minutes / 15) * 15;
      box.value = shown(Math.min(Math.max(quarter + step, 0), 24 * 60));
      box.dispatchEvent(new Event("input", { bubbles: true }));
    });
  }
}

for (const form of document.querySelectorAll("form")) {
  if (form.querySelector("[data-sum]")) form.addEventListener("input", () => sumUp(form));
}
