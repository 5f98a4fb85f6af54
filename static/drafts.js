// What is typed into a job's form and not sent comes back when the page is opened again on this phone.
// It is kept for its person, job and form, and goes when the form is taken and at sign-out.

const DRAFT_KEYS = ["csrf", "entry", "seen", "device_at", "kept_by", "kept_as"];

const draftKey = (form) => `${PERSON} ${new URL(form.action).pathname.slice(PHONE_BASE.length)}`;

function typedIn(form) {
  return Array.from(new FormData(form)).filter(([name, value]) => typeof value === "string" && !DRAFT_KEYS.includes(name));
}

const sameFields = (one, other) => JSON.stringify(one) === JSON.stringify(other);

function putBack(form, fields) {
  for (const field of form.elements) {
    if (!field.name || field.type === "hidden" || field.type === "file" || DRAFT_KEYS.includes(field.name)) continue;
    const values = fields.filter(([name]) => name === field.name).map(([, value]) => value);
    if (field.type === "checkbox" || field.type === "radio") field.checked = values.includes(field.value);
    else if (field.tagName !== "BUTTON" && values.length > 0) field.value = values[0];
  }
}

function sayBack(form, draft, empty) {
  const line = document.createElement("p");
  line.className = "draft";
  line.setAttribute("role", "status");
  line.textContent = `What you typed at ${momentWords(draft.at)} and did not send is back. `;
  const away = document.createElement("button");
  away.type = "button";
  away.className = "quiet";
  away.textContent = "Throw it away";
  away.addEventListener("click", async () => {
    await Phone.remove("drafts", draft.key);
    putBack(form, empty);
    line.remove();
  });
  line.append(away);
  form.prepend(line);
}

// One form of one address at a time: a page with several such forms keeps the one being typed in.
async function watch(form, drafts) {
  const empty = typedIn(form);
  const draft = drafts.find((row) => row.key === draftKey(form) && sameFields(row.of, hiddenOf(form)));
  if (draft && !document.querySelector(".problems") && !sameFields(draft.fields, empty)) {
    putBack(form, draft.fields);
    sayBack(form, draft, empty);
  }
  let waiting;
  const keep = () => {
    clearTimeout(waiting);
    const fields = typedIn(form);
    const key = draftKey(form);
    if (form.dataset.sent) return;
    if (sameFields(fields, empty)) Phone.remove("drafts", key);
    else Phone.put("drafts", { key, of: hiddenOf(form), fields, at: Date.now() });
  };
  form.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(keep, 300);
  });
  form.addEventListener("submit", () => clearTimeout(waiting));
  addEventListener("pagehide", () => waiting && keep());
}

// What a form of several on one page is about: its source, its lock.
function hiddenOf(form) {
  const about = Array.from(form.elements).filter((field) => field.type === "hidden" && !DRAFT_KEYS.includes(field.name));
  return about.map((field) => [field.name, field.value]);
}

async function beginDrafts() {
  const drafts = await Phone.all("drafts");
  for (const form of document.querySelectorAll('main form[method="post"]')) {
    if (form.elements.namedItem("entry")) watch(form, drafts);
  }
}

if (navigator.serviceWorker && self.indexedDB && navigator.locks) beginDrafts();
