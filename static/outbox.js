// The page of what this phone keeps: each form that waits, to look at, to mend, to take back.

const SKIP = ["entry", "seen", "device_at", "csrf", "source", "lock", "motor", "of", "version"];
const STATES = {
  waiting: "Waits for a line",
  refused: "Refused: nothing of it was saved",
  "set aside": "Sent, set aside: the job had moved on",
  sent: "Sent",
};

function element(name, text, parent) {
  const made = document.createElement(name);
  made.textContent = text;
  parent?.append(made);
  return made;
}

function what(row, into) {
  const typed = row.fields.filter(([name, field]) => !SKIP.includes(name) && field !== "");
  if (typed.length === 0) return;
  const box = element("details", "", into);
  element("summary", "Look at it", box);
  const list = element("dl", "", box);
  list.className = "facts";
  for (const [name, field] of typed) {
    element("dt", name.replace(/[_-]/g, " "), list);
    const shown = field instanceof Blob ? `photo, ${Math.ceil(field.size / 1000)} kB` : field;
    element("dd", shown, list);
  }
}

// The form itself, with what was typed: the server shows it with its sentences beside the fields.
function openForm(row, csrf) {
  const form = document.createElement("form");
  form.method = "post";
  form.action = PHONE_BASE + row.path;
  form.hidden = true;
  if (row.fields.some(([, field]) => field instanceof Blob)) form.enctype = "multipart/form-data";
  for (const [name, field] of [["csrf", csrf], ...row.fields]) {
    const input = document.createElement("input");
    input.name = name;
    if (field instanceof Blob) {
      const files = new DataTransfer();
      files.items.add(field);
      input.type = "file";
      input.files = files.files;
    } else {
      input.type = "hidden";
      input.value = field;
    }
    form.append(input);
  }
  document.body.append(form);
  form.submit();
}

function button(text, parent, act) {
  const made = element("button", text, parent);
  made.type = "button";
  made.className = "quiet";
  made.addEventListener("click", act);
  return made;
}

async function takeBack(row, press) {
  if (press.textContent === "Take it back") {
    press.textContent = "Take it back: it is then gone";
    return;
  }
  await Phone.alone(() => Phone.remove("outbox", row.order));
  await show();
  sayHowMany();
}

function actions(row, into) {
  if (!["waiting", "refused"].includes(row.state)) return;
  const line = element("p", "", into);
  line.className = "actions";
  if (row.state === "refused") {
    const mend = button("Open the form and put it right", line, () =>
      openForm(row, document.querySelector('form.who input[name="csrf"]').value));
    mend.className = "";
  }
  const back = button("Take it back", line, () => takeBack(row, back));
}

function item(row, list) {
  const one = element("li", "", list);
  one.dataset.state = row.state;
  element("p", "", one).append(element("strong", row.title));
  const moment = row.sent ? `, ${momentWords(row.sent)}` : "";
  const state = element("p", `${STATES[row.state]}${moment}. Written ${momentWords(row.at)}. `, one);
  const link = element("a", `Job ${row.job}`, state);
  link.className = "tap";
  link.href = `${PHONE_BASE}/jobs/${row.job}`;
  for (const words of row.words) element("p", words, one).className = "bad";
  what(row, one);
  actions(row, one);
}

function section(into, title, rows) {
  if (rows.length === 0) return;
  element("h2", title, into);
  const list = element("ol", "", into);
  list.className = "plain";
  for (const row of rows) item(row, list);
}

// Just kept: the way back to the work.
function goOn(rows, into) {
  const entry = new URLSearchParams(location.search).get("kept");
  const row = rows.find((row) => row.entry === entry && row.state === "waiting");
  if (!row) return;
  const line = element("p", "", into);
  line.className = "actions";
  const link = element("a", `Go on with job ${row.job}`, line);
  link.className = "button";
  link.href = `${PHONE_BASE}/jobs/${row.job}`;
}

let shown = "";

async function show(note) {
  const into = document.getElementById("outbox");
  const rows = await Phone.all("outbox");
  // What has not changed is left alone: somebody may be reading it, or about to press.
  const now = JSON.stringify([note === "signed-out", rows.map((row) => [row.order, row.state, row.entry])]);
  if (now === shown) return;
  shown = now;
  const own = rows.filter((row) => row.writer === PERSON);
  const waits = own.filter((row) => ["waiting", "refused"].includes(row.state));
  into.replaceChildren();
  into.hidden = false;
  if (note === "signed-out") {
    const line = element("p", "Your session has ended. These stay here and go when you have signed in again. ", into);
    const link = element("a", "Sign in", line);
    link.className = "tap";
    link.href = `${PHONE_BASE}/sign-in?next=/outbox`;
  }
  goOn(rows, into);
  if (waits.length === 0) element("p", "Nothing waits. Everything written here was sent.", into);
  section(into, `Not yet sent: ${waits.length}`, waits);
  section(into, "Sent in the last two days", own.filter((row) => row.sent).reverse());
  const others = rows.filter((row) => row.writer !== PERSON && !row.sent).length;
  if (others > 0) element("p", `${others} of another person wait on this phone until that person signs in here.`, into);
  if (waits.length > 0) {
    const line = element("p", "", into);
    line.className = "actions";
    button("Send now", line, async () => (await navigator.serviceWorker.ready).active.postMessage({ ask: "send" }));
  }
}

if (document.getElementById("outbox") && navigator.serviceWorker && self.indexedDB && navigator.locks) {
  show();
  document.addEventListener("outbox", (event) => show(event.detail));
}
