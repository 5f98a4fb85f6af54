// On the pages of who works at machines: starts the worker that keeps pages and forms without signal,
// writes the phone's own time into a form, and says how many forms wait.

const PERSON = Number(document.querySelector("script[data-person]").dataset.person);
const PERSON_NAME = document.querySelector("script[data-person]").dataset.name;

function hidden(form, name, value) {
  let field = form.elements.namedItem(name);
  if (!field) {
    field = document.createElement("input");
    field.type = "hidden";
    field.name = name;
    form.append(field);
  }
  field.value = value;
}

// When it was written, by this phone's clock. After a refusal the first moment stays.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!form.elements.namedItem("entry") || !form.elements.namedItem("csrf")) return;
  const device = form.elements.namedItem("device_at");
  if (!device || !device.value) hidden(form, "device_at", String(Date.now()));
  if (!navigator.serviceWorker?.controller) return;
  const heading = document.querySelector("h1")?.textContent.trim() || "";
  const button = event.submitter?.textContent.trim() || "";
  hidden(form, "kept_by", String(PERSON));
  hidden(form, "kept_as", button ? `${heading}: ${button}` : heading);
}, true);

// Coming back to a form that was sent makes the next one, at its own time.
addEventListener("pageshow", (event) => {
  if (!event.persisted || document.querySelector(".problems")) return;
  for (const device of document.querySelectorAll('input[name="device_at"]')) device.value = "";
});

async function unsent() {
  const rows = await Phone.all("outbox");
  return rows.filter((row) => row.writer === PERSON && ["waiting", "refused"].includes(row.state));
}

// A line in the head of every page: how much waits.
async function sayHowMany() {
  const rows = await unsent();
  let line = document.getElementById("unsent");
  if (rows.length === 0) return line?.remove();
  if (!line) {
    line = document.createElement("p");
    line.id = "unsent";
    line.className = "unsent no-print";
    line.setAttribute("role", "status");
    line.append(document.createElement("a"));
    line.firstChild.href = `${PHONE_BASE}/outbox`;
    line.firstChild.className = "tap";
    document.querySelector("header.top").after(line);
  }
  const refused = rows.filter((row) => row.state === "refused").length;
  line.firstChild.textContent = `${rows.length} kept on this phone, not yet sent${refused ? `; ${refused} refused` : ""}`;
}

function ownJobs() {
  const job = document.querySelector("h1[data-keep]");
  if (job) return [job.dataset.keep];
  if (location.pathname !== `${PHONE_BASE}/today`) return [];
  const links = Array.from(document.querySelectorAll("main a[href]"), (link) => link.pathname.slice(PHONE_BASE.length));
  return [...new Set(links.filter((path) => /^\/jobs\/\d+$/.test(path)))];
}

// Locks that this phone put on and has not sent yet can be taken off here too.
async function ownKeptLocks() {
  for (const pattern of document.querySelectorAll("template.kept-lock")) {
    const job = Number(location.pathname.slice(PHONE_BASE.length).split("/")[2]);
    const rows = (await unsent()).filter((row) => row.job === job);
    const value = (row, ending) => (row.fields.find(([name]) => name.startsWith(ending)) || ["", ""])[1];
    const off = rows.filter((row) => row.path.endsWith("/off")).map((row) => value(row, "lock"));
    for (const lock of rows.filter((row) => row.path.endsWith("/isolation/lock") && !off.includes(row.entry))) {
      const form = pattern.content.firstElementChild.cloneNode(true);
      form.querySelector("strong").textContent = value(lock, "lock_number");
      form.elements.namedItem("entry").value = newEntryId();
      form.elements.namedItem("lock").value = lock.entry;
      pattern.before(form);
    }
  }
}

// On a job's kept page: which steps have forms that wait.
async function sayWhichSteps() {
  const rows = await unsent();
  for (const link of document.querySelectorAll("#kept-pages a")) {
    const path = link.pathname.slice(PHONE_BASE.length);
    const count = rows.filter((row) => row.path === path || row.path.startsWith(`${path}/`)).length;
    if (count > 0) link.after(` (${count} kept here)`);
  }
}

async function signsOut(event) {
  const form = event.target;
  if (form.dataset.warned) return;
  event.preventDefault();
  const rows = await unsent();
  // The other listener has counted it as sent; it is not.
  delete form.dataset.sent;
  for (const button of form.querySelectorAll("button")) button.removeAttribute("aria-disabled");
  const words = `${rows.length} forms of yours are kept on this phone and not yet sent. They stay here, unread by others, until you sign in on this phone again. Sign out now?`;
  if (rows.length > 0 && !confirm(words)) return;
  form.dataset.warned = "yes";
  form.requestSubmit();
}

async function begin() {
  await navigator.serviceWorker.register(`${PHONE_BASE}/worker.js`, { scope: `${PHONE_BASE}/` });
  const ready = await navigator.serviceWorker.ready;
  const page = {
    id: PERSON,
    name: PERSON_NAME,
    path: location.pathname.slice(PHONE_BASE.length),
    keep: ownJobs(),
  };
  // A kept page that is shown says nothing new.
  const ask = () => ready.active.postMessage(
    document.querySelector(".as-of") ? { ask: "send" } : { ask: "arrived", page });
  ask();
  addEventListener("online", () => ready.active.postMessage({ ask: "send" }));
  document.addEventListener("visibilitychange", () => {
    if (!document.hidden) ready.active.postMessage({ ask: "send" });
  });
  setInterval(() => ready.active.postMessage({ ask: "send" }), 30_000);
  navigator.serviceWorker.addEventListener("message", (event) => {
    sayHowMany();
    document.dispatchEvent(new CustomEvent("outbox", { detail: event.data.outbox }));
  });
  document.querySelector("form.who")?.addEventListener("submit", signsOut);
}

// Without a worker (a plain http address, an old browser) every page works as it does without script.
if (navigator.serviceWorker && self.indexedDB && navigator.locks) {
  sayHowMany();
  sayWhichSteps();
  ownKeptLocks();
  begin().catch(() => {});
}
