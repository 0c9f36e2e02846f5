/** A file that is chosen is put into the field, where it can be seen and mended before it is sent. */

export function chooseFiles(details: HTMLDetailsElement): void {
  const text = details.querySelector("textarea");
  if (text === null) return;
  const label = document.createElement("label");
  label.className = "field";
  const words = document.createElement("span");
  words.textContent = "Or choose the file";
  const input = document.createElement("input");
  input.type = "file";
  input.accept = ".csv,.toml,.txt,text/plain,text/csv";
  label.append(words, input);
  text.closest("label")?.before(label);
  input.addEventListener("change", () => {
    void input.files?.[0]?.text().then((own) => {
      text.value = own;
    });
  });
}
