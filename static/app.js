// Additions only: every page works without this file.

// A form sent twice by an impatient thumb is sent once.
document.addEventListener("submit", (event) => {
  const form = event.target;
  if (form.dataset.sent) {
    event.preventDefault();
    return;
  }
  form.dataset.sent = "yes";
  for (const button of form.querySelectorAll("button")) button.setAttribute("aria-disabled", "true");
});

// Coming back with the back button must not leave a form locked.
addEventListener("pageshow", () => {
  for (const form of document.forms) {
    delete form.dataset.sent;
    for (const button of form.querySelectorAll("button")) button.removeAttribute("aria-disabled");
  }
});

// Print buttons make sense only where script can open the print dialogue.
for (const button of document.querySelectorAll("button.print")) {
  button.hidden = false;
  button.addEventListener("click", () => print());
}

// After a refusal the list of problems is where reading goes on.
document.querySelector(".problems")?.focus();

// A plate typed as it reads is put into its fields at once; without this the button does it.
for (const entry of document.querySelectorAll(".plate-entry")) {
  const text = entry.querySelector("textarea");
  const into = entry.querySelector(".plate-fields");
  let waiting;
  let asked = 0;
  text.addEventListener("input", () => {
    clearTimeout(waiting);
    waiting = setTimeout(async () => {
      const number = (asked += 1);
      const fields = new URLSearchParams();
      for (const [name, value] of new FormData(text.form)) {
        if (typeof value === "string") fields.append(name, value);
      }
      fields.set("read_plate", entry.dataset.prefix);
      const answer = await fetch(entry.dataset.read, { method: "POST", body: fields });
      if (answer.ok && number === asked) into.innerHTML = await answer.text();
    }, 500);
  });
}

// A form that can show what it would come to shows it while one types; the button does the same.
for (const form of document.querySelectorAll("form[data-preview]")) {
  const into = document.getElementById(form.dataset.preview);
  let asked = 0;
  form.addEventListener("change", async () => {
    const mine = ++asked;
    const body = new URLSearchParams(new FormData(form));
    body.set("preview", "yes");
    try {
      const answer = await fetch(form.getAttribute("action"), { method: "POST", body });
      if (mine !== asked || !answer.ok) return;
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const from = page.getElementById(into.id);
      if (from) into.replaceChildren(...from.childNodes);
    } catch {
      // Without a line the button stays.
    }
  });
}

// What was typed into a password field can be looked at.
for (const button of document.querySelectorAll("button.reveal")) {
  button.hidden = false;
  button.addEventListener("click", () => {
    const field = document.getElementById(button.dataset.shows);
    const show = field.type === "password";
    field.type = show ? "text" : "password";
    button.textContent = show ? "Hide" : "Show";
    field.focus();
  });
}

// The Desk's lists are asked for again while the page is in sight. What is ticked stays ticked, whoever
// has the keyboard keeps it, and the form above them is not touched.
for (const board of document.querySelectorAll("[data-fresh]")) {
  let tag = "";
  const ask = async () => {
    if (document.hidden) return;
    try {
      const headers = tag ? { "If-None-Match": tag } : {};
      const answer = await fetch(board.dataset.fresh, { headers, cache: "no-store" });
      if (answer.status !== 200 || answer.redirected) return;
      const text = await answer.text();
      tag = answer.headers.get("ETag") ?? "";
      const ticked = [...board.querySelectorAll("input:checked")].map((input) => input.id);
      const at = board.contains(document.activeElement) ? document.activeElement : null;
      const same = at && (at.id ? `#${CSS.escape(at.id)}` : `a[href="${CSS.escape(at.getAttribute("href") ?? "")}"]`);
      board.innerHTML = text;
      for (const id of ticked) {
        const input = document.getElementById(id);
        if (input) input.checked = true;
      }
      if (same) board.querySelector(same)?.focus({ preventScroll: true });
    } catch {
      // Without a line the page stays as it was.
    }
  };
  setInterval(ask, Number(board.dataset.every ?? 20) * 1000);
  document.addEventListener("visibilitychange", ask);
}
