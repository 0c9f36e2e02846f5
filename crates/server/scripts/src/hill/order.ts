/** Rows are dragged to their place, a block with all of its cars; positions are numbered anew. */

export function dragOrder(table: HTMLTableElement): void {
  const body = table.tBodies[0];
  if (body === undefined || table.querySelector("input.position[readonly]") !== null) return;
  const rows = (): HTMLTableRowElement[] => [...body.rows].filter((row) => row.querySelector("input.position"));
  let dragged: HTMLTableRowElement[] = [];
  for (const row of rows()) {
    const grip = document.createElement("button");
    grip.type = "button";
    grip.className = "quiet grip";
    grip.textContent = "↕";
    grip.setAttribute("aria-label", `Drag ${name(row)}; arrow keys move it too`);
    row.cells[1]?.prepend(grip);
    grip.addEventListener("pointerdown", (event) => {
      grip.setPointerCapture(event.pointerId);
      dragged = together(rows(), row);
      event.preventDefault();
    });
    grip.addEventListener("pointermove", (event) => {
      if (dragged.length === 0) return;
      const over = document.elementFromPoint(event.clientX, event.clientY)?.closest("tr");
      if (!over || dragged.includes(over) || !rows().includes(over)) return;
      const box = over.getBoundingClientRect();
      if (event.clientY < box.top + box.height / 2) over.before(...dragged);
      else over.after(...dragged);
      number(rows());
    });
    grip.addEventListener("pointerup", () => {
      dragged = [];
    });
    grip.addEventListener("keydown", (event) => {
      const own = together(rows(), row);
      const next =
        event.key === "ArrowUp"
          ? own[0]?.previousElementSibling
          : event.key === "ArrowDown"
            ? own[own.length - 1]?.nextElementSibling
            : null;
      if (!(next instanceof HTMLTableRowElement) || !rows().includes(next)) return;
      event.preventDefault();
      if (event.key === "ArrowUp") next.before(...own);
      else next.after(...own);
      number(rows());
      grip.focus();
    });
  }
}

function name(row: HTMLTableRowElement): string {
  return row.querySelector<HTMLInputElement>("input[name=vehicle]")?.value ?? "";
}

function together(rows: HTMLTableRowElement[], row: HTMLTableRowElement): HTMLTableRowElement[] {
  const block = (own: HTMLTableRowElement): string =>
    own.querySelector<HTMLInputElement>("input.block")?.value.trim() ?? "";
  return block(row) === "" ? [row] : rows.filter((own) => block(own) === block(row));
}

function number(rows: HTMLTableRowElement[]): void {
  rows.forEach((row, index) => {
    const position = row.querySelector<HTMLInputElement>("input.position");
    if (position !== null) position.value = String(index + 1);
  });
}
