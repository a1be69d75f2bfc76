/* Counts a glue-up down to its limits, second by second, and keeps the screen on while it runs. While there is no signal it
   goes on with the clock by what waits in this browser: begun, strip by strip, to the last clamp.

   <div data-glue-clock data-now="…" data-strips data-on data-open data-assembly …>   all that templates/gluing/_face.html names
   <template data-glue-begun> the same, of a clock not begun yet </template> <div data-glue-place> <div data-glue-before>

   The server's clock is the one that counts: this device's may be wrong, so only what passed since the page came is added.
*/
const opened = Number(document.querySelector("[data-kept]")?.dataset.kept ?? Date.now()); // by this device
const template = document.querySelector("template[data-glue-begun]");
const before = document.querySelector("[data-glue-before]");
const SECOND = 1000;

const heard = new Map(); // what waited here since the page came, by its count: also what was sent meanwhile

let face = document.querySelector("[data-glue-clock]");

const told = (seconds) => {
  const whole = Math.abs(Math.trunc(seconds));
  return `${Math.floor(whole / 60)}:${String(whole % 60).padStart(2, "0")}`;
};
const timeOfDay = (moment) => new Date(moment).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });
const dayAndTime = (moment) => {
  const day = new Date(moment).toDateString() === new Date().toDateString() ? "" : { weekday: "short" };
  return new Date(moment).toLocaleString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23", ...day });
};

/** How far this device's clock is before the server's, ms. */
const ahead = () => opened - Date.parse(face.dataset.now);

const count = () => {
  if (!face) return;
  const now = Date.now() - ahead();
  for (const place of face.querySelectorAll("[data-until]")) {
    if (!place.dataset.until) continue;
    const left = (Date.parse(place.dataset.until) - now) / SECOND;
    const box = place.closest("[data-glue-left]");
    place.textContent = told(left);
    box.classList.toggle("glue-left--over", left < 0);
    box.querySelector("[data-glue-over]").hidden = left >= 0;
  }
};

/** What is known of this clock, with what waits here; moments in ms of the server's clock. */
const stateOf = (waiting) => {
  const { dataset } = face;
  const moment = (text) => (text ? Date.parse(text) : null);
  const now = {
    started: moment(dataset.started),
    last: moment(dataset.last),
    spread: moment(dataset.spread),
    clamped: null,
    on: Number(dataset.on),
    begun: "",
  };
  for (const { form, at } of waiting) {
    const when = Date.parse(at) - ahead();
    if (form === "glue-begin") Object.assign(now, { started: when, last: when, spread: null, clamped: null, on: 1, begun: at });
    if (form === "glue-strip") Object.assign(now, { last: when, on: now.on + 1 });
    if (form === "glue-strips" || now.on >= Number(dataset.strips)) now.spread ??= when;
    if (form === "glue-clamped") Object.assign(now, { spread: now.spread ?? when, clamped: when });
  }
  return now;
};

const limit = (mark, until) => {
  const box = face.querySelector(`[data-glue-left="${mark}"]`);
  if (!box) return;
  box.hidden = until === null;
  box.querySelector("[data-until]").dataset.until = until === null ? "" : new Date(until).toISOString();
  if (until !== null) box.querySelector("[data-glue-by]").textContent = timeOfDay(until + ahead());
};

const showPart = (name, shown) => {
  const part = face.querySelector(`[data-glue-part="${name}"]`);
  if (part) part.hidden = !shown;
};

const draw = (waiting) => {
  const { dataset } = face;
  const now = stateOf(waiting);
  const spreading = now.spread === null;
  limit("assembly", now.started + Number(dataset.assembly) * SECOND);
  limit("open", spreading ? now.last + Number(dataset.open) * SECOND : null);
  showPart("spreading", spreading && now.clamped === null);
  showPart("closing", !spreading && now.clamped === null);
  showPart("clamped", now.clamped !== null);
  face.querySelector("[data-glue-limits]").hidden = now.clamped !== null;
  const end = face.querySelector("[data-glue-end]");
  end.hidden = now.clamped !== null;
  end.querySelector("button").classList.toggle("glue-tap", !spreading);
  end.querySelector("button").classList.toggle("tap--quiet", spreading);
  if (now.clamped !== null) {
    face.querySelector("[data-glue-off]").textContent = dayAndTime(now.clamped + ahead() + Number(dataset.clamped) * SECOND);
    face.querySelector("[data-glue-machine]").textContent = dayAndTime(now.clamped + ahead() + Number(dataset.unmachined) * SECOND);
  }
  for (const form of face.querySelectorAll("form[data-late]")) form.elements.begun.value = now.begun;
  const strip = face.querySelector("[data-glue-next]");
  if (!strip) return count();
  face.querySelector("[data-glue-on]").textContent = now.on;
  face.querySelectorAll(".glue-marks li").forEach((mark, place) => mark.classList.toggle("glue-mark--on", place < now.on));
  strip.textContent = `Strip ${now.on + 1} is on`;
  face.querySelector("[data-glue-all]").hidden = now.on + 1 >= Number(dataset.strips);
  return count();
};

/** Of all that waits, what is about this clock. */
const mine = (waiting, { project, label, clockId }) =>
  waiting.filter((one) => {
    const said = new Map(one.fields ?? []);
    const same = one.form?.startsWith("glue-") && said.get("project") === project && said.get("label") === label;
    return same && (one.form === "glue-begin" || !clockId || said.get("clock") === clockId);
  });

const stayOn = async () => {
  if (document.visibilityState !== "visible") return;
  try {
    await navigator.wakeLock.request("screen");
  } catch (error) {
    console.info("The screen may go dark:", error.message);
  }
};

const inOrder = () => [...heard.values()].sort((one, other) => one.sequence - other.sequence);

let running = false;
const run = () => {
  if (running) return;
  running = true;
  setInterval(count, SECOND / 2);
  if (navigator.wakeLock) {
    stayOn();
    document.addEventListener("visibilitychange", stayOn);
  }
};

document.addEventListener("journal:waiting", ({ detail }) => {
  const place = document.querySelector("[data-glue-place]");
  if (template && !face && mine(detail, template.content.querySelector("[data-glue-clock]").dataset).some((one) => one.form === "glue-begin")) {
    place.replaceChildren(template.content.cloneNode(true));
    face = place.querySelector("[data-glue-clock]");
    before.hidden = true;
  }
  if (!face) return;
  for (const one of mine(detail, face.dataset)) heard.set(one.sequence, one);
  if (!heard.size) return;
  draw(inOrder());
  run();
});

document.addEventListener("journal:taken-back", ({ detail }) => {
  const known = detail.filter((sequence) => heard.delete(sequence));
  if (!face || !known.length) return;
  if (heard.size || !before) return draw(inOrder());
  face.remove(); // it was not begun
  face = null;
  before.hidden = false;
});

if (face) {
  count();
  run();
  // A page taken from the back-forward store shows an old state of the clock.
  window.addEventListener("pageshow", (event) => event.persisted && location.reload());
}
