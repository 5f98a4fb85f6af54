// What this phone keeps, for its pages and for the worker: forms that wait for a line (`outbox`), what
// is being typed (`drafts`), and who works here (`about`).

const PHONE_BASE = self.document ? document.currentScript.dataset.base : BASE;

const Phone = (() => {
  let opened;

  function open() {
    opened ??= new Promise((resolve, reject) => {
      const asked = indexedDB.open(`brasstag${PHONE_BASE}`, 1);
      asked.onupgradeneeded = () => {
        asked.result.createObjectStore("outbox", { keyPath: "order", autoIncrement: true });
        asked.result.createObjectStore("drafts", { keyPath: "key" });
        asked.result.createObjectStore("about", { keyPath: "key" });
      };
      asked.onsuccess = () => resolve(asked.result);
      asked.onerror = () => reject(asked.error);
    });
    return opened;
  }

  // One request in a transaction of its own; it is on the disk when this comes back.
  async function ask(name, mode, act) {
    const database = await open();
    return new Promise((resolve, reject) => {
      const within = database.transaction(name, mode, { durability: "strict" });
      const request = act(within.objectStore(name));
      within.oncomplete = () => resolve(request.result);
      within.onabort = within.onerror = () => reject(within.error || request.error);
    });
  }

  const all = (name) => ask(name, "readonly", (store) => store.getAll());
  const put = (name, row) => ask(name, "readwrite", (store) => store.put(row));
  const remove = (name, key) => ask(name, "readwrite", (store) => store.delete(key));
  const clear = (name) => ask(name, "readwrite", (store) => store.clear());

  async function person() {
    const row = await ask("about", "readonly", (store) => store.get("person"));
    return row ? row.id : null;
  }

  // One at a time over all pages and the worker: what is being sent is not taken back meanwhile.
  const alone = (act) => navigator.locks.request(`brasstag${PHONE_BASE}-outbox`, act);

  return { all, put, remove, clear, person, alone };
})();

// The id of an entry made on this phone: UUIDv7, the time in front.
function newEntryId() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  const now = Date.now();
  for (let i = 0; i < 6; i += 1) bytes[i] = Math.floor(now / 2 ** (8 * (5 - i))) % 256;
  bytes[6] = (bytes[6] % 16) + 0x70;
  bytes[8] = (bytes[8] % 64) + 0x80;
  const hex = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  return [hex.slice(0, 8), hex.slice(8, 12), hex.slice(12, 16), hex.slice(16, 20), hex.slice(20)].join("-");
}

// A moment as people say it: 14:05 today, else with its day.
function momentWords(at) {
  const when = new Date(at);
  const time = when.toLocaleTimeString("en-GB", { hour: "2-digit", minute: "2-digit" });
  if (when.toDateString() === new Date().toDateString()) return time;
  return `${when.toLocaleDateString("en-GB", { day: "numeric", month: "long" })}, ${time}`;
}
