/* What waits for signal can be taken back: it is kept aside, and can be sent after all, as long as anything waits and for an
   hour at least. What rests on it goes with it: the strips of a glue-up that was not begun, the stop of what was not
   started. `aside` holds groups: {group: the count of what was taken back, at: when, taps: it and what rests on it}.
*/
const LEAST = 3_600_000; // ms that what was taken back is kept, whatever waits

const sameWork = (one, other) =>
  one.person === other.person && one.project === other.project && one.work === other.work && one.by_stage === other.by_stage;

const begunBy = (tap) => new Map(tap.fields ?? []).get("begun");

/** A tap with all of what waits that rests on it. */
export const together = (tap, waiting) => {
  const later = waiting.filter((one) => one.sequence > tap.sequence);
  if (tap.form) return [tap, ...later.filter((one) => one.form && begunBy(one) === tap.at)];
  if (tap.what !== "start") return [tap];
  const theirs = later.filter((one) => one.person === tap.person && one.what);
  const next = theirs.findIndex((one) => one.what === "start");
  return [tap, ...(next < 0 ? theirs : theirs.slice(0, next)).filter((one) => sameWork(one, tap))];
};

/** Take back what has this count; answers the counts of all that went with it: none where it was sent meanwhile. */
export const takeBack = async (queue, sequence) => {
  let gone = [];
  await queue.shift((waiting, aside) => {
    const tap = waiting.find((one) => one.sequence === sequence);
    const taps = tap ? together(tap, waiting) : [];
    gone = taps.map((one) => one.sequence);
    return { gone, aside: tap ? [...aside, { group: sequence, at: Date.now(), taps }] : aside };
  });
  return gone;
};

/** It is to be sent after all, in its own place. */
export const putBack = (queue, group) =>
  queue.shift((_waiting, aside) => ({
    back: aside.filter((one) => one.group === group).flatMap((one) => one.taps),
    aside: aside.filter((one) => one.group !== group),
  }));

/** What was taken back and can still be sent. */
export const takenBack = async (queue, waiting) => {
  const aside = (await queue.get("aside")) ?? [];
  const fresh = aside.filter((one) => waiting.length || Date.now() - one.at < LEAST);
  if (fresh.length < aside.length) {
    await queue.shift((now, held) => ({ aside: held.filter((one) => now.length || Date.now() - one.at < LEAST) }));
  }
  return fresh;
};
