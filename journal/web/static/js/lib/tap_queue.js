/* Taps, and forms, that wait for signal, kept in this browser: each with a count that is never used twice, in the order of the taps.

   In IndexedDB, whose own counter does not go back when something is removed; where that is forbidden, in localStorage.
   `things` keeps what belongs to this browser: its name (uid), its token, and what was taken back (`aside`).
*/
const NAME = "journal-taps";
const ASIDE = "aside";

const promised = (request) =>
  new Promise((resolve, reject) => {
    request.onsuccess = () => resolve(request.result);
    request.onerror = () => reject(request.error);
  });

const openDatabase = () => {
  const request = indexedDB.open(NAME, 1);
  request.onupgradeneeded = () => {
    request.result.createObjectStore("taps", { keyPath: "sequence", autoIncrement: true });
    request.result.createObjectStore("things");
  };
  return promised(request);
};

class InDatabase {
  constructor(database) {
    this.database = database;
  }

  store(name, mode) {
    return this.database.transaction(name, mode).objectStore(name);
  }

  add(taps) {
    const transaction = this.database.transaction("taps", "readwrite");
    const asked = taps.map((tap) => transaction.objectStore("taps").add(tap));
    return new Promise((resolve, reject) => {
      transaction.oncomplete = () => resolve(asked.map((request) => request.result));
      transaction.onerror = () => reject(transaction.error);
      transaction.onabort = () => reject(transaction.error);
    });
  }

  all() {
    return promised(this.store("taps", "readonly").getAll());
  }

  remove(sequence) {
    return promised(this.store("taps", "readwrite").delete(sequence));
  }

  async shift(act) {
    const transaction = this.database.transaction(["taps", "things"], "readwrite");
    const ended = new Promise((resolve, reject) => {
      transaction.oncomplete = () => resolve();
      transaction.onabort = () => reject(transaction.error);
    });
    const [taps, things] = ["taps", "things"].map((name) => transaction.objectStore(name));
    const [waiting, aside] = await Promise.all([promised(taps.getAll()), promised(things.get(ASIDE))]);
    const { gone = [], back = [], aside: kept } = act(waiting, aside ?? []);
    for (const sequence of gone) taps.delete(sequence);
    for (const tap of back) taps.put(tap);
    things.put(kept, ASIDE);
    await ended;
  }

  get(thing) {
    return promised(this.store("things", "readonly").get(thing));
  }

  put(thing, value) {
    return promised(this.store("things", "readwrite").put(value, thing));
  }
}

class InStorage {
  read() {
    return JSON.parse(localStorage.getItem(NAME) ?? '{"next":1,"taps":[],"things":{}}');
  }

  change(act) {
    const held = this.read();
    act(held);
    localStorage.setItem(NAME, JSON.stringify(held));
  }

  async add(taps) {
    const counts = [];
    this.change((held) => {
      for (const tap of taps) {
        held.taps.push({ ...tap, sequence: held.next });
        counts.push(held.next);
        held.next += 1;
      }
    });
    return counts;
  }

  async all() {
    return this.read().taps;
  }

  async remove(sequence) {
    this.change((held) => {
      held.taps = held.taps.filter((tap) => tap.sequence !== sequence);
    });
  }

  async shift(act) {
    this.change((held) => {
      const { gone = [], back = [], aside } = act(held.taps, held.things[ASIDE] ?? []);
      const left = held.taps.filter((tap) => !gone.includes(tap.sequence));
      held.taps = [...left, ...back].sort((one, other) => one.sequence - other.sequence);
      held.things[ASIDE] = aside;
    });
  }

  async get(thing) {
    return this.read().things[thing];
  }

  async put(thing, value) {
    this.change((held) => {
      held.things[thing] = value;
    });
  }
}

/** Where taps wait: add(taps), which answers their counts, all(), remove(sequence), get(thing), put(thing, value), and
    shift(act), which changes what waits and what was taken back at once: act(waiting, aside) answers the counts that are
    `gone`, the taps that come `back`, and all that is `aside`. Null where nothing can be kept. */
export const openQueue = async () => {
  try {
    return new InDatabase(await openDatabase());
  } catch (error) {
    console.info("No database in this browser:", error?.message);
  }
  try {
    localStorage.setItem(`${NAME}-try`, "1");
    localStorage.removeItem(`${NAME}-try`);
    return new InStorage();
  } catch (error) {
    console.info("Nothing can be kept in this browser:", error.message);
    return null;
  }
};
