// The worker between the pages and the line. It keeps the pages of a person's own jobs and shows them,
// marked, where there is no signal; and it keeps a job's form that finds no line, and sends it later,
// once. What it keeps of whom is its own choice: the pages themselves say `no-store`.

const STATIC = `brasstag${BASE}-static`;
const PAGES = `brasstag${BASE}-pages-`;
const MINUTE = 60_000;
const DAY = 24 * 60 * MINUTE;
// A page that was kept is shown when the line is slower than this.
const PATIENCE = 8_000;
const MOST_KEPT_BYTES = 80 * 1024 * 1024;
const JOB = /^\/jobs\/(\d+)(?=\/|$)/;

addEventListener("install", (event) => {
  const filled = caches.open(STATIC).then((cache) => cache.addAll(FILES));
  event.waitUntil(filled.then(() => self.skipWaiting()));
});

addEventListener("activate", (event) => {
  event.waitUntil(forgetOldFiles().then(() => self.clients.claim()));
});

async function forgetOldFiles() {
  const cache = await caches.open(STATIC);
  for (const request of await cache.keys()) {
    if (!FILES.includes(new URL(request.url).pathname)) await cache.delete(request);
  }
}

const pathOf = (url) => new URL(url).pathname.slice(BASE.length);

addEventListener("fetch", (event) => {
  const request = event.request;
  const url = new URL(request.url);
  if (url.origin !== location.origin || !url.pathname.startsWith(`${BASE}/`)) return;
  const path = pathOf(request.url);
  if (path.startsWith("/static/")) event.respondWith(file(request));
  else if (request.mode !== "navigate") return;
  else if (request.method === "POST") event.respondWith(post(request, path));
  else event.respondWith(page(request, path + url.search));
});

// A page that was kept before the program was renewed takes the file of the same name.
async function file(request) {
  const cache = await caches.open(STATIC);
  const copy = await cache.match(request);
  if (copy) return copy;
  const name = request.url.split("/").pop();
  const same = FILES.find((path) => path.endsWith(`/${name}`));
  return fetch(request).catch(async () => (await cache.match(same || request)) || Response.error());
}

function within(promise, most) {
  const late = new Promise((_, reject) => setTimeout(() => reject(new Error("no line")), most));
  return Promise.race([promise, late]);
}

// A proxy that finds nobody behind it is no line either.
function through(response) {
  if ([502, 503, 504].includes(response.status)) throw new Error("no line");
  return response;
}

async function page(request, path) {
  const copy = await keptCopy(path);
  try {
    return through(await within(fetch(request), copy ? PATIENCE : 60_000));
  } catch {
    if (copy) return shown(copy);
    return plain("This page is not on this phone", "<p>There is no signal, and this page was not kept.</p>");
  }
}

// ---- Pages that are kept ----

async function keptCopy(path) {
  const person = await Phone.person();
  if (person === null) return undefined;
  const cache = await caches.open(PAGES + person);
  return (await cache.match(BASE + path)) || cache.match(BASE + path.replace(/[?].*/, ""));
}

// The page as it was kept, marked, and with entries of its own: an id that was kept is not used twice.
async function shown(copy) {
  const at = momentWords(Number(copy.headers.get("kept-at")));
  const mark = `<div class="as-of caution" role="status"><strong>As of ${at}, without signal</strong>
    <p>What others did since is not here; nobody can say from this page which locks went on or off.
    Forms you send are kept on this phone and go when there is a line.</p></div>`;
  const html = (await copy.text())
    .replace(/(name="entry" value=")[^"]*/g, (_, before) => before + newEntryId())
    .replace('<main id="main">', (main) => (copy.headers.has("kept-without-mark") ? main : main + mark));
  return new Response(html, { headers: copy.headers });
}

// A page of the worker's own.
function plain(title, body, status = 503) {
  const sheet = FILES.find((name) => name.endsWith("/app.css"));
  const html = `<!doctype html><html lang="en"><head><meta charset="utf-8">
    <meta name="viewport" content="width=device-width, initial-scale=1"><title>${title}</title>
    <link rel="stylesheet" href="${sheet}"></head><body><main id="main"><div class="narrow"><h1>${title}</h1>${body}
    <p class="actions"><a class="button" href="${BASE}/today">Today</a>
    <a class="button quiet" href="${BASE}/outbox">Kept on this phone</a></p></div></main></body></html>`;
  const headers = {
    "content-type": "text/html; charset=utf-8",
    "content-security-policy": "default-src 'none'; style-src 'self'; base-uri 'none'; form-action 'none'",
  };
  return new Response(html, { status, headers });
}

async function keepPage(cache, person, path, young) {
  const old = await cache.match(BASE + path);
  if (old && Date.now() - Number(old.headers.get("kept-at")) < young) return old;
  const answer = await fetch(BASE + path, { headers: { "brasstag-ahead": String(person) }, redirect: "manual" });
  if ([401, 409].includes(answer.status)) throw new Error("another session");
  if (!answer.ok) {
    if ([403, 404].includes(answer.status)) await cache.delete(BASE + path);
    return undefined;
  }
  const headers = new Headers(answer.headers);
  for (const name of ["content-encoding", "content-length"]) headers.delete(name);
  headers.set("kept-at", String(Date.now()));
  // The list of what waits is the phone's own and always as of now.
  if (path === "/outbox") headers.set("kept-without-mark", "yes");
  const copy = new Response(await answer.text(), { headers });
  await cache.put(BASE + path, copy.clone());
  return copy;
}

// Keeps these pages, and of a job every step that its page names. A page younger than `young` stays.
async function keepPages(person, paths, young) {
  if ((await Phone.person()) !== person) return;
  const cache = await caches.open(PAGES + person);
  for (const path of paths) {
    if ((await Phone.person()) !== person) break;
    const copy = await keepPage(cache, person, path, young);
    if (!copy || !/^\/jobs\/\d+$/.test(path)) continue;
    const list = (await copy.text()).match(/<ol id="kept-pages">[^]*?<\/ol>/);
    for (const step of linksOf(list ? list[0] : "", path)) {
      const page = await keepPage(cache, person, step, young);
      if (!page || !step.endsWith("/steps")) continue;
      for (const one of linksOf(await page.text(), `${path}/steps`)) await keepPage(cache, person, one, young);
    }
  }
  await forgetOldPages(cache);
  // Signed out meanwhile: nothing of it stays.
  if ((await Phone.person()) !== person) await caches.delete(PAGES + person);
}

function linksOf(html, below) {
  const links = Array.from(html.matchAll(/href="([^"?#]*)"/g), (found) => found[1].slice(BASE.length));
  return [...new Set(links.filter((link) => link.startsWith(`${below}/`)))];
}

async function forgetOldPages(cache) {
  for (const request of await cache.keys()) {
    const copy = await cache.match(request);
    if (Date.now() - Number(copy.headers.get("kept-at")) > 7 * DAY) await cache.delete(request);
  }
}

async function jobIsKept(person, path) {
  const job = path.match(JOB);
  if (!job || !(await caches.has(PAGES + person))) return false;
  const cache = await caches.open(PAGES + person);
  return Boolean(await cache.match(`${BASE}${job[0]}`));
}

// Pages of everybody but this person leave the phone.
async function forgetPagesBut(person) {
  for (const name of await caches.keys()) {
    if (name.startsWith(PAGES) && name !== PAGES + person) await caches.delete(name);
  }
}

// ---- Forms ----

async function post(request, path) {
  if (path === "/sign-out") return signOut(request);
  if (!JOB.test(path)) return fetch(request);
  const fields = Array.from(await request.clone().formData());
  const value = (name) => String((fields.find(([field]) => field === name) || ["", ""])[1]);
  if (!value("entry")) {
    const needs = "<p>This form needs a line. Go back: what you typed is still there.</p>";
    return fetch(request).catch(() => plain("No signal", needs));
  }
  const writer = Number(value("kept_by")) || (await Phone.person());
  const refused = (await Phone.all("outbox")).some((row) => row.entry === value("entry") && row.state === "refused");
  // What waits goes first, so that the order holds.
  if (!refused && (await mayGo(writer)).length > 0) {
    await send();
    if ((await mayGo(writer)).length > 0) return keepForm(path, fields, value, writer);
  }
  const files = fields.some(([, field]) => field instanceof File && field.size > 0);
  let answer;
  try {
    const asked = refused ? mended(request, fields, writer) : fetch(request);
    answer = through(await within(asked, files ? 3 * MINUTE : 25_000));
  } catch {
    return keepForm(path, fields, value, writer);
  }
  if (answer.type === "opaqueredirect") await wasTaken(value("entry"), path, writer);
  return answer;
}

// What waits for nothing but a line: no form of the same job before it was refused.
async function mayGo(writer) {
  const rows = (await Phone.all("outbox")).filter((row) => row.writer === writer);
  const stuck = (row) => rows.some((one) => one.state === "refused" && one.job === row.job && one.order < row.order);
  return rows.filter((row) => row.state === "waiting" && !stuck(row));
}

// A refused form that is put right: its page comes back with the form even where the step is not open.
function mended(request, fields, writer) {
  const headers = { "brasstag-ahead": String(writer) };
  return fetch(request.url, { method: "POST", headers, body: encoded(fields), redirect: "manual" });
}

// A form that was kept before, was refused, and has now been sent by hand.
async function wasTaken(entry, path, writer) {
  for (const row of await Phone.all("outbox")) {
    if (row.entry === entry && row.writer === writer) await finished(row, "sent");
  }
  await forgetDraft(writer, path);
  await tellPages();
}

async function forgetDraft(writer, path) {
  await Phone.remove("drafts", `${writer} ${path}`);
}

async function keepForm(path, fields, value, writer) {
  if (writer === null) return plain("No signal", "<p>Nobody is signed in on this phone. Nothing is kept.</p>");
  const leave = ["csrf", "kept_by", "kept_as", "device_at"];
  const row = {
    writer,
    path,
    entry: value("entry"),
    job: Number(path.match(JOB)[1]),
    title: value("kept_as") || path,
    state: "waiting",
    at: Number(value("device_at")) || Date.now(),
    fields: [],
    words: [],
  };
  for (const [name, field] of fields) {
    if (leave.includes(name)) continue;
    if (field instanceof File && field.size === 0) continue;
    row.fields.push([name, field instanceof File ? await smaller(field) : field]);
  }
  row.fields.push(["device_at", String(row.at)]);
  const rows = await Phone.all("outbox");
  const twin = rows.find((other) => other.entry === row.entry);
  // The same form sent again is the same entry; with other words it is one of its own.
  if (twin && sameWords(twin.fields, row.fields)) return kept(row);
  if (twin) row.entry = newEntryId();
  row.fields = row.fields.map(([name, field]) => [name, name === "entry" ? row.entry : field]);
  try {
    if (bytesOf(rows) + bytesOf([row]) > MOST_KEPT_BYTES) throw new DOMException("", "QuotaExceededError");
    await Phone.put("outbox", row);
  } catch {
    return plain("Not kept: this phone is full", `<p>There is no signal, and there is no room left here for this
      form. Go back: it is still there. Photos need the most room: send it without them, and take them again later.</p>`);
  }
  await forgetDraft(writer, path);
  await tellPages();
  if (self.registration.sync) await self.registration.sync.register("outbox").catch(() => {});
  return kept(row);
}

function kept(row) {
  return Response.redirect(`${BASE}/outbox?kept=${row.entry}`, 303);
}

function sameWords(one, other) {
  const words = (fields) => JSON.stringify(fields.filter(([name]) => name !== "device_at").map(([name, field]) =>
    [name, field instanceof Blob ? field.size : field]));
  return words(one) === words(other);
}

function bytesOf(rows) {
  const fields = rows.flatMap((row) => row.fields || []);
  return fields.reduce((sum, [, field]) => sum + (field instanceof Blob ? field.size : field.length), 0);
}

// A photo as large as it has to be: less to keep and to send, and nothing in it but the picture.
async function smaller(photo) {
  if (photo.size < 600_000 || !self.OffscreenCanvas) return photo;
  try {
    const picture = await createImageBitmap(photo);
    const scale = Math.min(1, 2560 / Math.max(picture.width, picture.height));
    const canvas = new OffscreenCanvas(picture.width * scale, picture.height * scale);
    canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
    const blob = await canvas.convertToBlob({ type: "image/jpeg", quality: 0.85 });
    return blob.size < photo.size ? new File([blob], photo.name, { type: "image/jpeg" }) : photo;
  } catch {
    return photo;
  }
}

// ---- Sending what waits ----

const send = () => Phone.alone(sendAll).catch(() => {});

async function sendAll() {
  if ((await Phone.all("outbox")).every((row) => row.state !== "waiting")) return;
  const answer = await within(fetch(`${BASE}/outbox/session`), 20_000);
  if (answer.status === 401) await signedOut();
  if (!answer.ok) return;
  const who = await answer.json();
  const stuck = new Set();
  // Each is read when its turn comes: the one before may have changed what it stands on.
  for (const { order } of await Phone.all("outbox")) {
    const row = (await Phone.all("outbox")).find((row) => row.order === order);
    if (!row || row.writer !== who.person) continue;
    if (row.state === "refused") stuck.add(row.job);
    if (row.state !== "waiting" || stuck.has(row.job)) continue;
    if (!(await sendOne(row, who))) stuck.add(row.job);
    await tellPages();
  }
  await tellPages();
}

async function signedOut() {
  for (const client of await self.clients.matchAll()) client.postMessage({ outbox: "signed-out" });
}

// True where it was taken, false where it was refused; throws where there is no line.
async function sendOne(row, who) {
  const seen = row.fields.find(([name]) => name === "seen");
  const headers = {
    "brasstag-writer": String(row.writer),
    "brasstag-entry": row.entry,
    "brasstag-seen": seen ? seen[1] : "",
  };
  const answer = through(await within(fetch(BASE + row.path, {
    method: "POST", headers, body: encoded([["csrf", who.csrf], ...row.fields]), redirect: "manual",
  }), 5 * MINUTE));
  // Signed out or another person meanwhile, too busy: later.
  if ([401, 408, 409, 429].includes(answer.status) || answer.status >= 500) throw new Error("later");
  if (!answer.ok) {
    await Phone.put("outbox", { ...row, state: "refused", words: sentences(await answer.text()) });
    return false;
  }
  const taken = await answer.json();
  if (taken.seen !== null && seen) await onTopOf(row, Number(seen[1]), taken.seen);
  if (taken.set_aside) await finished(row, "set aside", [taken.set_aside]);
  else await finished(row, "sent");
  const again = keepPages(who.person, [`/jobs/${row.job}`], 0).catch(() => {});
  await within(again, MINUTE).catch(() => {});
  return true;
}

function encoded(fields) {
  const files = fields.some(([, field]) => field instanceof Blob);
  const body = files ? new FormData() : new URLSearchParams();
  for (const [name, field] of fields) body.append(name, field);
  return body;
}

// What the same person wrote after it, on the same page of the past, was written on top of it.
async function onTopOf(row, from, to) {
  for (const other of await Phone.all("outbox")) {
    if (other.job !== row.job || other.order <= row.order || other.state !== "waiting") continue;
    const fields = other.fields.map(([name, field]) =>
      [name, name === "seen" && Number(field) >= from && Number(field) < to ? String(to) : field]);
    await Phone.put("outbox", { ...other, fields });
  }
}

// It stays on the list for two days without what was typed: that is in the job now.
async function finished(row, state, words = []) {
  await Phone.put("outbox", { ...row, state, words, fields: [], sent: Date.now() });
  for (const old of await Phone.all("outbox")) {
    if (old.sent && Date.now() - old.sent > 2 * DAY) await Phone.remove("outbox", old.order);
  }
}

// The sentences of a page that refuses a form.
function sentences(html) {
  const text = (piece) => piece.replace(/<[^>]*>/g, " ").replace(/&quot;|&#34;/g, '"').replace(/&#39;|&#x27;/g, "'")
    .replace(/&lt;|&#60;/g, "<").replace(/&gt;|&#62;/g, ">").replace(/&amp;|&#38;/g, "&").replace(/\s+/g, " ").trim();
  const problems = html.match(/<div class="problems"[^]*?<\/div>/);
  const list = problems ? Array.from(problems[0].matchAll(/<li>([^]*?)<\/li>/g), (found) => text(found[1])) : [];
  if (list.length > 0) return list;
  const main = html.match(/<main id="main">([^]*?)<\/main>/);
  return [text(main ? main[1] : html).slice(0, 300)];
}

async function tellPages() {
  for (const client of await self.clients.matchAll()) client.postMessage({ outbox: "changed" });
}

// ---- Signing out, and what pages ask for ----

// Whatever the line says: the private pages leave the phone, and what was half typed. Forms that were
// sent and wait for a line stay for their writer.
async function signOut(request) {
  // First who it is: what is just then being kept sees that it must not be.
  await Phone.clear("about");
  await Phone.clear("drafts");
  await forgetPagesBut("nobody");
  const words = "<p>The pages kept on this phone are gone. There is no signal, so the sign-in itself has not ended: sign out again when there is a line.</p>";
  return fetch(request).catch(() => plain("Not signed out yet", words));
}

async function arrived({ id, name, path, keep }) {
  const before = await Phone.person();
  if (before !== id) {
    await forgetPagesBut(id);
    if (before !== null) await Phone.clear("drafts");
  }
  await Phone.put("about", { key: "person", id, name });
  await send();
  await keepPages(id, ["/outbox", "/today"], 5 * MINUTE);
  // The page that was opened is kept as it is now, with every form open.
  if (await jobIsKept(id, path)) await keepPages(id, [path], MINUTE / 2);
  await keepPages(id, keep, 10 * MINUTE);
}

addEventListener("message", (event) => {
  const { ask, page } = event.data;
  if (ask === "send") event.waitUntil(send());
  if (ask === "arrived") event.waitUntil(arrived(page).catch(() => {}));
});

addEventListener("sync", (event) => {
  if (event.tag === "outbox") event.waitUntil(send());
});
