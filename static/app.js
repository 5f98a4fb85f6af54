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
