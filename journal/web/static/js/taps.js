/* Taps of the clock that outlive a lost signal. Without this script the same forms are sent as they are.

   <div data-floor data-device="/…" data-taps="/…" data-made="moment" data-next="/…">   where to pair this browser, where to
                                                              send its taps, when the page was made, where to go then;
                                                              data-kept: when it was kept, on one shown without signal
   <form data-tap data-name="Planing" data-of="a project">    what, project, work, by_stage, who… and the form's mark
   <form data-late="coat" data-name="A coat" data-said="…">   any form that may wait: all its fields are kept, and the moment;
                                                              data-late-only: it has no other way; a button with
                                                              data-now-only sends it as it is
   <div data-waiting hidden> <strong data-waiting-count> <p data-waiting-shown hidden>, and what lib/waiting_list.js names </div>
   <div data-kept-shown hidden> <span data-kept-at> </div>   says that the page is as it was seen then
   <template data-waiting-stop> … data-name, data-said, data-stop … </template> <div data-waiting-clocks>

   A tap is kept here first and sent then, so that nothing is lost between the two; what the server has answered for is
   removed. The server knows each tap by this browser's name and count, and each form by its key, so what is sent twice
   counts once. What waits is told to other scripts: the event "journal:waiting" on the document, its list in `detail`; and
   what was taken back: "journal:taken-back", the counts in `detail`.
*/
import * as setAside from "./lib/set_aside.js";
import { openQueue } from "./lib/tap_queue.js";
import { clock, drawLists, typedIn } from "./lib/waiting_list.js";

const AGAIN = 15_000; // ms between tries while taps wait
const AT_ONCE = 50; // of what waits; the server takes so much at once, whatever was typed into it
const LONGEST = 10_000; // ms an answer may take
const PATIENCE = 700; // ms before a tap that is on its way is said to wait
const TWICE = 400; // ms in which a second tap on the same form is the same tap
const UNSAID = new Set(["csrf_token", "key"]);

const floor = document.querySelector("[data-floor]");
const queue = floor ? await openQueue() : null;
const letters = () => [...crypto.getRandomValues(new Uint8Array(16))].map((one) => one.toString(16).padStart(2, "0")).join("");

/** The taps a form stands for: one for each person. */
const tapsOf = (form) => {
  const sent = new FormData(form);
  return sent.getAll("who").map((person) => ({
    person: Number(person),
    what: sent.get("what"),
    project: sent.get("project") ? Number(sent.get("project")) : null,
    work: sent.get("work"),
    by_stage: sent.get("by_stage") === "1",
    at: new Date().toISOString(),
    name: form.dataset.name,
    of: form.dataset.of,
  }));
};

/** What a form that may wait says, with a key of its own each time it is sent. */
const lateOf = (form) => {
  form.elements.key.value = letters();
  const fields = [...new FormData(form)].filter(([name, value]) => !UNSAID.has(name) && typeof value === "string");
  const { late, name, said, of } = form.dataset;
  return { form: late, key: form.elements.key.value, at: new Date().toISOString(), fields, name, said, of, typed: typedIn(form) };
};

const post = async (address, options) => {
  const answer = await fetch(address, { method: "POST", signal: AbortSignal.timeout(LONGEST), ...options });
  if (!answer.ok) throw Object.assign(new Error(`answer ${answer.status}`), { status: answer.status });
  return answer.json();
};

/** This browser's token; paired first where there is none. */
const token = async () => {
  const known = await queue.get("token");
  if (known) return known;
  const uid = (await queue.get("uid")) ?? letters();
  await queue.put("uid", uid);
  const body = new URLSearchParams({
    uid,
    label: navigator.userAgentData?.platform ?? navigator.platform,
    csrf_token: document.querySelector("input[name=csrf_token]").value,
  });
  const { token: made } = await post(floor.dataset.device, { body });
  await queue.put("token", made);
  return made;
};

/** What is sent of a waiting tap or form; one whose page is still open is told there what is wrong with it. */
const bodyOf = ({ name, said, of, typed, ...rest }) => {
  if (!rest.form) return rest;
  return { ...rest, name, live: rest.sequence === asking?.sequence };
};

/** Send what waits, in order; answers how many the server has answered for. */
const send = async () => {
  const waiting = (await queue.all()).slice(0, AT_ONCE);
  if (!waiting.length) return 0;
  const { answers } = await post(floor.dataset.taps, {
    headers: { "Content-Type": "application/json", "X-Journal-Device": await token() },
    body: JSON.stringify({ taps: waiting.map(bodyOf) }),
  });
  const answered = answers.filter((answer) => answer.sequence !== null);
  for (const answer of answered) await queue.remove(answer.sequence);
  const wrong = answered.find((answer) => answer.state === "refused" && answer.sequence === asking?.sequence);
  if (wrong) asking.refused = true;
  return answered.length;
};

/** What a failed try says to the person at the bench. */
const excuse = (error) => {
  if (error.status === 401) return "This browser is no longer allowed to send taps. Reload the page while there is signal.";
  if (error.status) return `The journal did not take them (${error.message}). They stay here.`;
  return "No signal. They are sent once it is back, also after this page was closed.";
};

const show = async (why = "") => {
  const place = document.querySelector("[data-waiting]");
  if (!place) return;
  const waiting = await queue.all();
  const aside = await setAside.takenBack(queue, waiting);
  place.hidden = waiting.length === 0 && aside.length === 0;
  place.querySelector("[data-waiting-count]").textContent = waiting.length
    ? `${waiting.length} ${waiting.length === 1 ? "tap waits" : "taps wait"} in this browser. ${why}`
    : "Nothing waits in this browser.";
  drawLists(place, waiting, aside, { takeBack, putBack });
  const made = place.querySelector("[data-waiting-shown]");
  made.hidden = waiting.length === 0 || "kept" in floor.dataset;
  made.textContent = `The rest of this page is as of ${clock(floor.dataset.made)}.`;
  if (tell && waiting.length) place.scrollIntoView({ block: "center" });
  tell = false;
  showClocks(waiting.filter((tap) => tap.what));
  document.dispatchEvent(new CustomEvent("journal:waiting", { detail: waiting }));
};

/** The last waiting tap of each person decides what runs: a card to stop it, and no card for what was stopped. */
const showClocks = (waiting) => {
  const last = new Map(waiting.map((tap) => [tap.person, tap]));
  for (const card of document.querySelectorAll("[data-clock]")) card.hidden = last.has(Number(card.dataset.clock));
  const cards = [...last.values()]
    .filter((tap) => tap.what === "start" || tap.what === "resume")
    .map((tap) => {
      const card = document.querySelector("[data-waiting-stop]").content.firstElementChild.cloneNode(true);
      card.querySelector("[data-name]").textContent = tap.name;
      card.querySelector("[data-said]").textContent = `since ${clock(tap.at)}, waiting for signal`;
      card.querySelector("[data-stop]").addEventListener("click", () => {
        const { sequence, ...rest } = tap;
        keep([{ ...rest, what: "stop", at: new Date().toISOString() }]);
      });
      return card;
    });
  document.querySelector("[data-waiting-clocks]").replaceChildren(...cards);
};

let asking = null; // the form that somebody has just sent from this page: its count, and whether it was refused
let typing = false; // boxes are half filled in: the page stays as it is
let tell = false; // what was just sent was typed, maybe far down the page: where it waits is brought into sight

/** Once taps were taken: the page as it is now, or the one it names; a form with a fault in it is sent as it is, to be shown. */
const onwards = () => {
  if (asking?.refused) asking.element.submit();
  else if (typing) return;
  else if (floor.dataset.next) location.assign(floor.dataset.next);
  else location.reload();
};

let sending = null;

/** One try at a time; a tap made meanwhile is taken along by the next. */
const flush = (after = onwards) => {
  sending ??= (async () => {
    try {
      let sent = 0;
      for (let more = await send(); more; more = await send()) sent += more;
      await show();
      if (sent) after();
    } catch (error) {
      if (error.status === 401) await queue.put("token", "");
      asking = null;
      await show(excuse(error));
      setTimeout(() => flush(after), AGAIN);
    } finally {
      sending = null;
    }
  })();
  return sending;
};

const keep = async (taps, after) => {
  const counts = await queue.add(taps);
  if (asking) asking.sequence = counts[0];
  const slow = setTimeout(() => show(), PATIENCE);
  if (sending) await sending;
  await flush(after);
  clearTimeout(slow);
};

/** Take back what waits. Not while it is on its way: what the journal has by then is undone there. */
const takeBack = async (sequence) => {
  while (sending) await sending;
  const taken = setAside.takeBack(queue, sequence);
  sending = taken.finally(() => {
    sending = null;
  });
  const gone = await taken;
  document.dispatchEvent(new CustomEvent("journal:taken-back", { detail: gone }));
  await show();
  document.querySelector(`[data-aside-list] [data-line="${sequence}"] [data-line-back]`)?.focus();
};

const putBack = async (group) => {
  await setAside.putBack(queue, group);
  await show();
  await flush();
};

/** Nothing else may be tapped until it is sent or said to wait. */
const hold = async (work) => {
  const buttons = [...document.querySelectorAll("form[data-tap] button, form[data-late] button")];
  for (const button of buttons) button.disabled = true;
  await Promise.race([work, new Promise((resolve) => setTimeout(resolve, PATIENCE))]);
  for (const button of buttons) button.disabled = false;
};

const sent = (event) => {
  const form = event.target.closest("form[data-tap], form[data-late]");
  if (!form || event.submitter?.hasAttribute("data-now-only")) return;
  const late = "late" in form.dataset;
  if (late && event.timeStamp - (form.sentAt ?? -TWICE) < TWICE) {
    event.preventDefault();
    return;
  }
  form.sentAt = event.timeStamp;
  const taps = late ? [lateOf(form)] : tapsOf(form);
  if (!taps.length) return; // a shop without a place at the bench yet: the server makes the first
  event.preventDefault();
  tell = typing;
  typing = false;
  asking = late && !form.hasAttribute("data-late-only") ? { element: form } : null;
  hold(keep(taps));
};

const keptShown = document.querySelector("[data-kept-shown]");
if (keptShown && "kept" in floor.dataset) {
  keptShown.querySelector("[data-kept-at]").textContent = clock(floor.dataset.made);
  keptShown.hidden = false;
}

if (queue) {
  document.addEventListener("submit", sent);
  document.addEventListener("input", (event) => {
    if (event.target.closest("form[data-late]")) typing = true;
  });
  window.addEventListener("online", async () => {
    await flush();
    if ("kept" in floor.dataset && !typing && !(await queue.all()).length) location.reload();
  });
  await flush();
}
