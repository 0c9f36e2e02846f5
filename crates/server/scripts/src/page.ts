/** On every page: a form is sent once, however often an unsteady finger taps its button. */

const SENT = "sent";

document.addEventListener("submit", (event) => {
  const form = event.target;
  if (!(form instanceof HTMLFormElement) || event.defaultPrevented) return;
  if (SENT in form.dataset) {
    event.preventDefault();
  } else {
    form.dataset[SENT] = "";
  }
});

// A page that a browser took out of its own store, by going back, may send its form again.
window.addEventListener("pageshow", () => {
  for (const form of document.querySelectorAll<HTMLFormElement>(`form[data-${SENT}]`)) {
    delete form.dataset[SENT];
  }
});
