/* What waits for signal, line by line: what it is, what was typed, and a way to take it back; and what was taken back.

   <ul data-waiting-list>, <div data-aside hidden> … <ul data-aside-list>, and in the page two templates:
   <template data-waiting-line> <li> data-line-name, details[data-line-typed] dl, data-line-ask, data-line-sure hidden:
                                data-line-no, data-line-yes </li>
   <template data-aside-line>   <li> data-line-name, details[data-line-typed] dl, data-line-back </li>
*/
const DONE = { start: "started", stop: "stopped", pause: "paused", resume: "went on" };

export const clock = (at) => new Date(at).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", hourCycle: "h23" });

const TYPED = "input:not([type=hidden], [type=submit], [type=file]), select, textarea";
const textOf = (node) => node?.firstChild?.textContent.trim() ?? "";

/** What somebody can see in a form: labels and texts. */
export const typedIn = (form) => {
  const lines = [];
  for (const box of form.querySelectorAll(TYPED)) {
    const ticked = box.type === "checkbox" || box.type === "radio";
    const label = box.labels?.[0];
    if (ticked && box.checked) lines.push([textOf(box.closest("fieldset")?.querySelector("legend")), label?.textContent.trim() ?? ""]);
    else if (!ticked && box.value.trim()) lines.push([textOf(label), box.selectedOptions?.[0]?.text ?? box.value]);
  }
  return lines;
};

const said = (tap) =>
  [`${clock(tap.at)} ${tap.name}`, tap.said ?? DONE[tap.what]].filter(Boolean).join(": ") + (tap.of ? ` · ${tap.of}` : "");

const filled = (template, tap, more = "") => {
  const line = document.querySelector(template).content.firstElementChild.cloneNode(true);
  line.querySelector("[data-line-name]").textContent = said(tap) + more;
  const typed = line.querySelector("[data-line-typed]");
  typed.hidden = !tap.typed?.length;
  for (const [box, text] of tap.typed ?? []) {
    const row = document.createElement("div");
    row.append(Object.assign(document.createElement("dt"), { textContent: box }), Object.assign(document.createElement("dd"), { textContent: text }));
    typed.querySelector("dl").append(row);
  }
  for (const away of line.querySelectorAll("[data-line-of]")) away.textContent = `: ${said(tap)}`;
  return line;
};

/** A line that was asked for stays as it is, opened or about to be taken back. */
const keepLines = (list, wanted, made) => {
  const there = new Map([...list.children].map((line) => [line.dataset.line, line]));
  const lines = wanted.map(([key, what]) => {
    const line = there.get(String(key)) ?? made(what);
    line.dataset.line = key;
    return line;
  });
  if (lines.length === list.children.length && lines.every((line, place) => line === list.children[place])) return;
  list.replaceChildren(...lines);
};

const waitingLine = (tap, takeBack) => {
  const line = filled("template[data-waiting-line]", tap);
  const [ask, sure] = ["[data-line-ask]", "[data-line-sure]"].map((mark) => line.querySelector(mark));
  const asked = (whether) => {
    ask.hidden = whether;
    sure.hidden = !whether;
    (whether ? sure.querySelector("[data-line-no]") : ask).focus();
  };
  ask.addEventListener("click", () => asked(true));
  line.querySelector("[data-line-no]").addEventListener("click", () => asked(false));
  line.querySelector("[data-line-yes]").addEventListener("click", (event) => {
    event.currentTarget.disabled = true;
    takeBack(tap.sequence);
  });
  return line;
};

const asideLine = ({ group, taps }, putBack) => {
  const more = taps.length > 1 ? `, and ${taps.length - 1} more that ${taps.length === 2 ? "rests" : "rest"} on it` : "";
  const line = filled("template[data-aside-line]", taps[0], more);
  line.querySelector("[data-line-back]").addEventListener("click", (event) => {
    event.currentTarget.disabled = true;
    putBack(group);
  });
  return line;
};

/** Show both lists; `acts` has takeBack(count) and putBack(group). */
export const drawLists = (place, waiting, aside, acts) => {
  keepLines(place.querySelector("[data-waiting-list]"), waiting.map((tap) => [tap.sequence, tap]), (tap) => waitingLine(tap, acts.takeBack));
  keepLines(place.querySelector("[data-aside-list]"), aside.map((one) => [one.group, one]), (one) => asideLine(one, acts.putBack));
  place.querySelector("[data-aside]").hidden = aside.length === 0;
};
