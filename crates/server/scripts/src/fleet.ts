/** A search form that answers while it is typed into: the list is asked for again after a short pause, and put
    in the place of the one that is shown. Without this script the form's own button does the same. */

/** ASSUMED: a typist pauses longer than this between words and not between letters. */
const PAUSE_MS = 120;

for (const form of document.querySelectorAll<HTMLFormElement>("form[data-instant]")) {
  answerAtOnce(form, form.dataset["instant"] ?? "");
}

function answerAtOnce(form: HTMLFormElement, id: string): void {
  let pause: number | undefined;
  let asking: AbortController | undefined;

  const ask = async (): Promise<void> => {
    const fields = [...new FormData(form)].filter(([, value]) => value !== "");
    const query = new URLSearchParams(fields.map(([name, value]) => [name, String(value)]));
    const address = `${form.action.split("?")[0]}?${query}`;
    asking?.abort();
    asking = new AbortController();
    try {
      const answer = await fetch(address, { signal: asking.signal, headers: { Accept: "text/html" } });
      if (!answer.ok) return; // Half a number is no reading yet; the button would say so in words.
      const page = new DOMParser().parseFromString(await answer.text(), "text/html");
      const found = page.getElementById(id);
      if (found === null) return;
      document.getElementById(id)?.replaceWith(found);
      history.replaceState(null, "", address);
    } catch (error) {
      if (!(error instanceof DOMException && error.name === "AbortError")) throw error;
    }
  };

  const later = (): void => {
    clearTimeout(pause);
    pause = setTimeout(() => void ask(), PAUSE_MS);
  };
  form.addEventListener("input", later);
}

/** A text field that takes a file: its content is put into the field, to be looked at before it is sent. */
for (const field of document.querySelectorAll<HTMLTextAreaElement>("textarea[data-file-text]")) {
  const label = document.createElement("label");
  label.className = "field";
  const words = document.createElement("span");
  words.textContent = "or take it from a file";
  const input = document.createElement("input");
  input.type = "file";
  input.accept = `.${field.dataset["fileText"] ?? "txt"}`;
  input.addEventListener("change", async () => {
    const file = input.files?.[0];
    if (file !== undefined) field.value = await file.text();
  });
  label.append(words, input);
  field.closest("label")?.after(label);
}
