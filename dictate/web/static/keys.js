// Keys: one table, from which both the list that is shown and what they do come.

const REMEMBERED = "dictate keys off";

export class Keys {
  /** `table`: rows of {keys, shown, words, strip (a short word), onRow, run}. */
  constructor(table) {
    this.table = table;
    this.first = () => false; // keys that come before the table
    this.on = localStorage.getItem(REMEMBERED) === null;
    document.addEventListener("keydown", (event) => this.press(event));
  }

  /** Show the list, the strip of the most used, and the switch. */
  show(list, strip, box) {
    const rows = this.table.filter((row) => row.shown);
    for (const row of rows) {
      list.append(term(row, "dt"), described(row, "dd"));
      if (row.strip) {
        const part = document.createElement("span");
        part.append(...term(row, "span").childNodes, ` ${row.strip}`);
        strip.append(part);
      }
    }
    box.checked = this.on;
    box.addEventListener("change", () => {
      this.on = box.checked;
      if (this.on) localStorage.removeItem(REMEMBERED);
      else localStorage.setItem(REMEMBERED, "1");
    });
  }

  press(event) {
    if (event.ctrlKey || event.altKey || event.metaKey || event.defaultPrevented) return;
    // a window that was just closed keeps the focus until the next frame; its keys are the page's
    const dialog = event.target.closest("dialog");
    const target = dialog && !dialog.open ? document.body : event.target;
    if (target.closest("input, textarea, select, dialog")) return;
    if (!this.on && event.key.length === 1 && event.key !== " ") return;
    if (event.key.length === 1 && this.first(event.key)) { event.preventDefault(); return; }
    const row = this.table.find((one) => one.keys.includes(event.key));
    if (!row) return;
    // a button, a link or a word that has the focus keeps enter and space for itself
    const own = target.closest("button, a, [role=button], [role=slider]");
    if (own && (event.key === "Enter" || event.key === " ")) {
      if (own.matches("[role=button]")) {
        event.preventDefault();
        own.click();
      } else if (own.matches("[role=slider]") && event.key === " ") {
        event.preventDefault();
        row.run(event.key);
      }
      return;
    }
    if (row.onRow && !target.closest(".utterance") && target !== document.body) return;
    event.preventDefault();
    row.run(event.key);
  }
}

function term(row, tag) {
  const element = document.createElement(tag);
  for (const [i, key] of row.shown.split(" ").entries()) {
    if (i) element.append(" ");
    const part = document.createElement("kbd");
    part.textContent = key;
    element.append(part);
  }
  return element;
}

function described(row, tag) {
  const element = document.createElement(tag);
  element.textContent = row.words;
  return element;
}
